// SPDX-License-Identifier: GPL-3.0-or-later
// What it was: candidates with their bars and intervals, the reading that disagrees, what to measure next.
import type { Bench } from './bench';
import type { Identification, Interval, ReadingCheck } from './api';
import { KINDS } from './came-in';
import { count, mass, ohm, run, share, size, wire } from './units';
import { Bars } from './verdict';

type Show = (value: number | null) => string;

/** A reading's numbers by its kind. */
function shower(kind: string, bench: Bench): Show {
    if (kind.endsWith('resistance')) return (v) => ohm(v);
    if (kind.endsWith('diameter') || kind === 'winding-depth') return (v) => size(v, bench.units, 4);
    if (kind.endsWith('mass')) return (v) => mass(v, bench.units);
    if (kind === 'turns' || kind === 'layers' || kind === 'turns-per-layer')
        return (v) => (v === null ? '–' : v.toFixed(kind === 'turns' ? 0 : 1));
    return (v) => (v === null ? '–' : v.toPrecision(4));
}

function Span({ interval, show }: { interval: Interval; show: Show }) {
    return <>{show(interval.p50)} <small>{show(interval.p05)} to {show(interval.p95)}</small></>;
}

function Candidates({ bench, identification }: { bench: Bench; identification: Identification }) {
    return (
        <div class="scroll" tabIndex={0} role="region" aria-label="Candidates">
            <table>
                <thead><tr><th scope="col">Wire</th><th scope="col">How likely</th><th scope="col">Turns</th><th scope="col">At 20 °C</th><th scope="col">Length</th><th scope="col">Mass</th></tr></thead>
                <tbody>
                    {identification.candidates.slice(0, 12).map((c) => (
                        <tr key={wire(c)}>
                            <th scope="row">{wire(c)}</th>
                            <td>{share(c.probability)}</td>
                            <td><Span interval={c.turns} show={count} /></td>
                            <td><Span interval={c.resistance_20c_ohm} show={(v) => ohm(v)} /></td>
                            <td>{run(c.length_m.p50, bench.units)}</td>
                            <td>{mass(c.mass_kg.p50, bench.units)}</td>
                        </tr>
                    ))}
                </tbody>
            </table>
        </div>
    );
}

/** Where a reading stands within what the others expect: the bar is their nine cases in ten. */
function Standing({ check }: { check: ReadingCheck }) {
    const z = check.z ?? 0;
    const x = 60 + 16 * Math.max(-3.5, Math.min(3.5, z));
    return (
        <svg class="standing" viewBox="0 0 120 20" role="img" aria-label={`${Math.abs(z).toFixed(1)} standard deviations ${z < 0 ? 'below' : 'above'} what the others expect`}>
            <path class="expected" d={`M${60 - 26.3} 10h52.6`} />
            <path class="line" d="M60 3v14" />
            <circle class={Math.abs(z) > 2.5 ? 'off' : 'on'} cx={x} cy="10" r="4.5" />
        </svg>
    );
}

function Readings({ bench, identification }: { bench: Bench; identification: Identification }) {
    return (
        <div class="scroll" tabIndex={0} role="region" aria-label="Readings against each other">
            <table>
                <thead><tr><th scope="col">Reading</th><th scope="col">Read</th><th scope="col">The others expect</th><th scope="col">Where it stands</th></tr></thead>
                <tbody>
                    {identification.readings.map((r) => {
                        const show = shower(r.kind, bench);
                        return (
                            <tr key={r.index}>
                                <th scope="row">{KINDS.find((k) => k.word === r.kind)?.name ?? r.kind}</th>
                                <td>{show(r.value)}</td>
                                <td>{r.used && r.expected !== null ? show(r.expected) : 'nothing'}</td>
                                <td>{r.used && r.expected !== null && <Standing check={r} />}</td>
                            </tr>
                        );
                    })}
                </tbody>
            </table>
        </div>
    );
}

export function Was({ bench }: { bench: Bench }) {
    const identify = bench.answer?.identify;
    if (identify === undefined || 'error' in identify)
        return (
            <section class="group">
                <h2>What it was</h2>
                <p class="calm">{identify === undefined ? 'There is no answer yet.' : identify.error.text}</p>
                <p><button type="button" class="main" onClick={() => bench.go('came-in')}>Enter readings</button></p>
            </section>
        );
    return (
        <div class={bench.stale ? 'stale' : ''}>
            <section class="group">
                <h2>The answer</h2>
                <p class="headline">{identify.summary.replace(/ %/g, '\u00a0%')}</p>
                {identify.tied && <p class="doubt"><b>Tied: </b>the readings cannot tell the first candidates apart. One more reading can.</p>}
                <Bars identification={identify} most={8} />
            </section>
            {(identify.doubts.length > 0 || identify.faults.length > 0) && (
                <section class="group">
                    <h2>What does not agree</h2>
                    {identify.doubts.map((d) => <p class="doubt" key={d.reading}>{d.text}</p>)}
                    {identify.faults.map((f) => <p class="doubt" key={f.kind}>{f.text}</p>)}
                </section>
            )}
            <section class="group">
                <h2>Measure next</h2>
                {identify.next_readings.length === 0 && <p class="calm">Nothing would tell much more.</p>}
                <ol class="next">{identify.next_readings.slice(0, 3).map((n) => <li key={n.kind}>{n.text}</li>)}</ol>
                <div class="buttons"><button type="button" class="main" onClick={() => bench.go('came-in')}>Add a reading</button>
                    <button type="button" onClick={() => bench.go('wind')}>Sure enough: what to wind</button></div>
            </section>
            <section class="group">
                <h2>Each candidate</h2>
                <p class="about">The small figures hold nine cases in ten.</p>
                <Candidates bench={bench} identification={identify} />
            </section>
            <section class="group">
                <h2>Each reading against the others</h2>
                <p class="about">The bar is where nine readings in ten would fall; the dot is this one.</p>
                <Readings bench={bench} identification={identify} />
            </section>
        </div>
    );
}
