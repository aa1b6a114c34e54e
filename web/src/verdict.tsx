// SPDX-License-Identifier: GPL-3.0-or-later
// The answer as it stands, beside what is being typed.
import type { Bench } from './bench';
import type { Identification } from './api';
import { count, ohm, run, share, warmth, wire } from './units';

export function Bars({ identification, most }: { identification: Identification; most: number }) {
    const shown = identification.candidates.slice(0, most);
    return (
        <ol class="bars">
            {shown.map((c) => (
                <li key={wire(c)}>
                    <span class="bar-name">{wire(c)}</span>
                    <span class="bar-share">{share(c.probability)}</span>
                    <span class="bar" aria-hidden="true"><i style={{ width: `${Math.max(100 * c.probability, 0.5)}%` }} /></span>
                </li>
            ))}
        </ol>
    );
}

function Was({ bench, identification }: { bench: Bench; identification: Identification }) {
    const first = identification.candidates[0];
    return (
        <>
            <h2>It was</h2>
            {first !== undefined && <p class="headline">{wire(first)}<span class="headline-share">{share(first.probability)}</span></p>}
            <Bars identification={identification} most={4} />
            <dl class="figures">
                <div><dt>Turns</dt><dd>{count(identification.turns.p50)} <small>{count(identification.turns.p05)} to {count(identification.turns.p95)}</small></dd></div>
                <div><dt>At 20 °C</dt><dd>{ohm(identification.resistance_20c_ohm.p50)} <small>{ohm(identification.resistance_20c_ohm.p05)} to {ohm(identification.resistance_20c_ohm.p95)}</small></dd></div>
                <div><dt>Wire</dt><dd>{run(identification.length_m.p50, bench.units)}</dd></div>
            </dl>
            {identification.doubts.map((d) => <p class="doubt" key={d.reading}><b>Doubtful: </b>{d.text}</p>)}
            {identification.faults.map((f) => <p class="doubt" key={f.kind}><b>The old coil: </b>{f.text}</p>)}
        </>
    );
}

/** The answer in one line, at the head of a narrow screen, where a keyboard on the screen does not hide it. */
export function Glance({ bench }: { bench: Bench }) {
    const identify = bench.answer?.identify;
    const first = identify !== undefined && !('error' in identify) ? identify.candidates[0] : undefined;
    if (identify === undefined || 'error' in identify || first === undefined) return null;
    return (
        <a class="glance" href={`#${bench.id}/was`}>
            <span>{wire(first)}{identify.turns.p50 !== null && `, ${count(identify.turns.p50)} turns`}</span>
            <b>{bench.stale ? 'before' : share(first.probability)}</b>
        </a>
    );
}

export function Verdict({ bench }: { bench: Bench }) {
    const { answer } = bench;
    if (answer === null)
        return (
            <aside class="verdict" aria-label="Answer so far">
                <h2>It was</h2>
                <p class="calm">Nothing to tell yet. A resistance and one of diameter, mass or turns are enough for a first answer.</p>
            </aside>
        );
    const { identify, choose, lay } = answer;
    return (
        <aside class={`verdict ${bench.stale ? 'stale' : ''}`} aria-label="Answer so far" aria-live="polite">
            {bench.stale && <p class="stale-word">Of before the last change</p>}
            {'error' in identify
                ? <><h2>It was</h2><p class="calm">{identify.error.text}</p></>
                : <Was bench={bench} identification={identify} />}
            <h2>Wind</h2>
            {'error' in choose ? <p class="calm">{choose.error.text}</p> : (
                <>
                    <p class="headline">{choose.summary.split('. ')[0]}.</p>
                    {!('error' in lay) && <p class="calm">{lay.layers.length} layers, {lay.fits ? 'it fits' : 'it does not fit'}
                        {choose.options[0]?.hot_spot_c != null && `, hot spot about ${warmth(choose.options[0].hot_spot_c, bench.units)}`}.</p>}
                </>
            )}
        </aside>
    );
}
