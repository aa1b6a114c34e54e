// SPDX-License-Identifier: GPL-3.0-or-later
// Proof: one test after the other, what it must show, what was read, what that says.
import { useEffect, useState } from 'preact/hooks';
import type { BookJob, Hold, Proof as ProofOf, ProofTest, Saved, Signature } from './api';
import { getJson, postJson } from './ask';
import { type Bench, mistakeAt } from './bench';
import { type Job, addItem, lengthAt, removeItem, setValue, valueAt } from './job';
import { jobNumber, latest } from './kept';
import { useStage } from './stage';
import { type Units, force, henry, kelvins, ohm } from './units';

interface Kind {
    readonly name: string;
    readonly value: string;                                          // what is read
    readonly metric: string;
    readonly inch?: string;
    readonly extras: readonly (readonly [key: string, label: string, metric: string, inch?: string])[];
    readonly words?: readonly (readonly [word: string, label: string])[]; // where the eye judges
}

const AT = ['at', 'winding at', '23 °C', '73 °F'] as const;
const KINDS: Readonly<Record<string, Kind>> = {
    'winding-resistance': { name: 'Winding resistance', value: 'Read', metric: '85.0 ohm', extras: [AT] },
    'coils-match': { name: 'The coils match', value: 'Read', metric: '85.0 ohm', extras: [['coil', 'coil', '1'], AT] },
    turns: { name: 'Turns', value: 'Inductance, field, or turns counted', metric: '0.42 H', extras: [['current', 'at a current of', '50 mA']] },
    polarity: { name: 'Polarity', value: 'Both together, helping', metric: '0.8 H', extras: [['reversed', 'one turned round', '0.1 H']], words: [['pass', 'poles as they must be'], ['fail', 'poles wrong']] },
    'earth-bond': { name: 'Earth bond', value: 'Read', metric: '0.06 ohm', extras: [['current', 'with', '10 A'], ['lead_resistance', 'test lead alone', '0.05 ohm']] },
    'insulation-resistance': { name: 'Insulation resistance', value: 'After a minute', metric: '300 Mohm', extras: [AT, ['voltage', 'with', '500 V'], ['after_ten_minutes', 'after ten minutes', '400 Mohm']], words: [['over-range', 'more than the meter shows']] },
    'turn-insulation': { name: 'Turn insulation', value: 'Rings', metric: '14', extras: [], words: [['pass', 'as its twin'], ['fail', 'not as its twin']] },
    'high-potential': { name: 'High potential', value: 'Held', metric: '1200 V', extras: [['time', 'for', '60 s']], words: [['fail', 'it broke down']] },
    'heat-run': { name: 'Heat run', value: 'Resistance, hot', metric: '108 ohm', extras: [['time', 'after switching off', '30 s'], ['ambient', 'room at the end', '24 °C', '75 °F']] },
    pull: { name: 'Pull', value: 'Read', metric: '420 N', inch: '95 lb', extras: [] },
    release: { name: 'Release', value: 'Seen', metric: '', extras: [], words: [['pass', 'lets go by itself'], ['fail', 'sticks']] },
};

const VERDICTS: Readonly<Record<ProofTest['verdict'], string>> = { pass: 'Passed', fail: 'Failed', open: 'Open' };

/** 5.000 Mohm is 5 Mohm; 100 mohm stays. */
const trimmed = (text: string): string => text.replace(/(\.\d*?)0+(?= )/, '$1').replace(/\.(?= )/, '');

/** A limit in its unit. */
function shown(value: number | null, unit: string, u: Units): string {
    if (value === null) return '';
    if (unit === 'ohm') return trimmed(ohm(value));
    if (unit === 'H') return trimmed(henry(value));
    if (unit === 'N') return force(value, u);
    if (unit === 'K') return kelvins(value, u);
    if (unit === '1') return String(Number(value.toPrecision(3)));
    return `${Number(value.toPrecision(4))} ${unit}`;
}

function limitsOf(test: ProofTest, u: Units): string {
    const [low, high] = [shown(test.limit_low, test.unit, u), shown(test.limit_high, test.unit, u)];
    const at = test.reference_c === null ? '' : ` at ${u === 'inch' ? `${Math.round(1.8 * test.reference_c + 32)} °F` : `${test.reference_c} °C`}`;
    if (test.test === 'release') return 'lets go by itself, and nothing sticks';
    if (test.test === 'turn-insulation') return `rings ${low} times or more, or as its sound twin`;
    if (test.test === 'high-potential') return `holds ${low}`;
    if (test.test === 'heat-run') return `rises by ${high} at most`;
    if (low !== '' && high !== '') return `from ${low} to ${high}${at}`;
    if (low !== '') return `at least ${low}${at}`;
    return high !== '' ? `at most ${high}${at}` : 'no limit of its own';
}

/** Places of a test's readings in the job's list. */
function readingsOf(job: Job, test: ProofTest): number[] {
    return Array.from({ length: lengthAt(job, ['proof']) }, (_, i) => i).filter((i) =>
        valueAt(job, ['proof', i, 'test']) === test.test && (test.coil === null || ['', String(test.coil)].includes(valueAt(job, ['proof', i, 'coil']))));
}

function Entry({ bench, kind, index, name }: { bench: Bench; kind: Kind; index: number; name: string }) {
    const inch = bench.units === 'inch';
    const value = valueAt(bench.job, ['proof', index, 'value']);
    const set = (key: string, to: string): void => bench.change(setValue(bench.job, ['proof', index, key], to));
    const mistake = bench.outcome?.mistakes.find((m) => m.path[0] === 'proof' && m.path[1] === index) ?? mistakeAt(bench, ['proof', index]);
    const id = `proof-${index}`;
    return (
        <div class="proof-entry">
            <div class="reading-row">
                {kind.metric !== '' && <label class="extra" for={id}><span>{kind.value}</span>
                    <input id={id} type="text" autocomplete="off" spellcheck={false} value={value} placeholder={`as in ${(inch ? kind.inch : undefined) ?? kind.metric}`}
                        aria-invalid={mistake !== undefined} aria-describedby={`${id}-beneath`} onInput={(e) => set('value', e.currentTarget.value)} /></label>}
                {kind.extras.map(([key, label, metric, inches]) => (
                    <label class="extra" key={key}><span>{label}</span>
                        <input type="text" autocomplete="off" spellcheck={false} placeholder={(inch ? inches : undefined) ?? metric} value={valueAt(bench.job, ['proof', index, key])}
                            onInput={(e) => set(key, e.currentTarget.value)} /></label>
                ))}
            </div>
            {kind.words !== undefined && <div class="chips" role="group" aria-label={`${name}, seen`}>
                {kind.words.map(([word, label]) => <button type="button" class={`chip ${value === word ? 'best' : ''}`} aria-pressed={value === word} key={word}
                    onClick={() => set('value', value === word ? '' : word)}>{label}</button>)}</div>}
            <p class={`beneath ${mistake === undefined ? '' : 'wrong'}`} id={`${id}-beneath`}>{mistake === undefined ? '' : <><b>Not so: </b>{mistake.text}</>}</p>
            <button type="button" class="quiet" aria-label={`Drop this reading: ${name}`} onClick={() => bench.change(removeItem(bench.job, 'proof', index))}>Drop</button>
        </div>
    );
}

function Test({ bench, test }: { bench: Bench; test: ProofTest }) {
    const kind = KINDS[test.test] ?? { name: test.test, value: 'Read', metric: '', extras: [] };
    const name = test.coil === null ? kind.name : `${kind.name}, coil ${test.coil}`;
    const entries = readingsOf(bench.job, test);
    const add = (): void => bench.change(addItem(bench.job, 'proof', { test: test.test, ...(test.coil === null ? {} : { coil: String(test.coil) }), value: '' }));
    return (
        <li class={`test ${test.verdict}`}>
            <div class="test-head"><h3>{name}</h3><span class={`verdict-word ${test.verdict}`}>{VERDICTS[test.verdict]}</span></div>
            <p class="test-limit">{limitsOf(test, bench.units)}</p>
            {test.apply !== null && <p>Apply <b>{Math.round(test.apply.value)} {test.apply.unit}</b>{test.apply.time_s !== null && ` for ${test.apply.time_s} s`}.</p>}
            {test.caution !== '' && <p class="caution"><b>Caution: </b>{test.caution}</p>}
            {entries.map((i) => <Entry bench={bench} kind={kind} index={i} name={name} key={i} />)}
            {entries.length === 0 && <button type="button" onClick={add}>Enter what was read<span class="for-ears">: {name}</span></button>}
            {test.reading !== null && test.corrected !== null && test.reference_c !== null && <p>That is <b>{shown(test.corrected, test.unit, bench.units)}</b> at {test.reference_c} °C.</p>}
            {test.remark !== '' && entries.length > 0 && <p class={test.verdict === 'fail' ? 'doubt' : ''}>{test.remark}</p>}
            {test.verdict === 'fail' && <ul class="causes">{test.causes.map((c) => <li key={c.cause}><b>{c.cause}</b> {c.tells_apart}</li>)}</ul>}
            <details><summary>How, and by what</summary><p>{test.how}</p>{test.not_on !== '' && <p><b>Not on: </b>{test.not_on}</p>}<p><small>{test.basis}{test.trust !== '' && ` (${test.trust})`}</small></p></details>
        </li>
    );
}

const STATES = [['open', 'Still open'], ['wound', 'Wound'], ['proved', 'Proved'], ['failed', 'Failed its proof']] as const;

/** How far the job is, in the book. */
function State({ bench }: { bench: Bench }) {
    const [told, tell] = useState('');
    const number = jobNumber(bench.id);
    if (number === null) return null;
    const set = (state: string, label: string): void => {
        postJson<Saved>('/api/book/state', JSON.stringify({ job: number, state })).then(
            () => tell(`The book has it: ${label.toLowerCase()}.`), (trouble: Error) => tell(trouble.message));
    };
    return (
        <section class="group">
            <h2>In the book</h2>
            <div class="buttons" role="group" aria-label="How far the job is">{STATES.map(([word, label]) => <button type="button" key={word} onClick={() => set(word, label)}>{label}</button>)}</div>
            <p role="status">{told}</p>
        </section>
    );
}

/** Who stands for it. Where a test is open a reason is asked for; what failed is not signed. */
function Sign({ bench, proof }: { bench: Bench; proof: ProofOf }) {
    const [who, setWho] = useState('');
    const [note, setNote] = useState('');
    const [told, tell] = useState('');
    const [signed, setSigned] = useState<readonly Signature[]>([]);
    const number = jobNumber(bench.id);
    const look = async (): Promise<BookJob> => {
        const job = await getJson<BookJob>(`/api/book/job?job=${number}`);
        setSigned(job.signatures);
        return job;
    };
    useEffect(() => { if (number !== null) look().catch(() => undefined); }, [number]);
    if (number === null) return null;
    const sign = async (): Promise<void> => {
        const job = await look();
        await postJson<Saved>('/api/book/sign', JSON.stringify({ job: number, version: latest(job), who, ...(note === '' ? {} : { note }) }));
        await look();
        tell('It is signed, and kept with this version.');
    };
    const open = proof.verdict === 'open' || proof.hold?.verdict === 'open';
    return (
        <section class="group">
            <h2>Signed by</h2>
            <ul class="signatures">{signed.map((s) => <li key={s.time_s}><b>{s.who}</b> {new Date(1000 * s.time_s).toLocaleString()}, version {s.version}, {s.verdict === 'pass' ? 'passed' : 'not all proved'}
                {s.note !== null && `: ${s.note}`}{!s.sound && <b class="short"> no longer what was signed</b>}</li>)}</ul>
            {proof.verdict !== 'fail' && (
                <form class="grid" onSubmit={(e) => { e.preventDefault(); sign().catch((trouble: Error) => tell(trouble.message)); }}>
                    <div class="field"><label for="who">Name</label><input id="who" type="text" autocomplete="name" value={who} onInput={(e) => setWho(e.currentTarget.value)} /></div>
                    {open && <div class="field"><label for="why-open">Not all is proved: why it goes out</label><input id="why-open" type="text" value={note} onInput={(e) => setNote(e.currentTarget.value)} /></div>}
                    <div class="buttons"><button type="submit" disabled={who === '' || (open && note === '')}>Sign this proof</button></div>
                </form>)}
            <p role="status">{told}</p>
        </section>
    );
}

function Holds({ hold }: { hold: Hold }) {
    return (
        <section class="group">
            <h2>Does it hold its load</h2>
            <p class={hold.verdict === 'fail' ? 'doubt' : ''}>{hold.text}</p>
            {hold.steps !== undefined && <details><summary>Step by step</summary><ul>{hold.steps.map((s) => <li key={s.what}>{s.what}: {s.value === null ? 'not known' : `${Number(s.value.toPrecision(3))} ${s.unit}`} <small>{s.basis}</small></li>)}</ul></details>}
        </section>
    );
}

const NOW: Readonly<Record<ProofTest['verdict'], string>> = {
    pass: 'Every test has passed.', fail: 'A test has failed: do not put it back to work.', open: 'Not proved yet.',
};

export function Proof({ bench }: { bench: Bench }) {
    const proof = useStage<ProofOf>(bench, '/api/prove');
    if (proof.value === null)
        return <section class="group"><h2>Proof</h2><p class="calm">{proof.why !== '' ? proof.why : 'Being computed.'}</p></section>;
    const { tests, omitted, verdict } = proof.value;
    const done = tests.filter((t) => t.verdict === 'pass').length;
    return (
        <>
            {proof.why !== '' && <p class="notice wrong">{proof.why}</p>}
            <section class={`group outcome ${verdict}`}>
                <h2>Before it goes back to work</h2>
                <p class="headline">{NOW[verdict]} <span class="headline-share">{done} of {tests.length} passed</span></p>
                <p class="about">In this order. Isolate, lock off and prove dead first. What lifts, holds a load or guards people is released by those who are licensed for it, not by this page.</p>
            </section>
            <ol class="tests">{tests.map((t) => <Test bench={bench} test={t} key={`${t.test} ${t.coil}`} />)}</ol>
            {omitted.length > 0 && <section class="group"><h2>Not asked of this coil</h2><ul>{omitted.map((o) => <li key={o.test}>{KINDS[o.test]?.name ?? o.test}: {o.reason}</li>)}</ul></section>}
            {proof.value.hold !== null && <Holds hold={proof.value.hold} />}
            <Sign bench={bench} proof={proof.value} />
            <State bench={bench} />
        </>
    );
}
