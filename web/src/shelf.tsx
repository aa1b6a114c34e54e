// SPDX-License-Identifier: GPL-3.0-or-later
// Wire on the shelf of the book: what is left of each spool, wire booked off, a spool put up.
import { useEffect, useMemo, useState } from 'preact/hooks';
import type { Shelf as ShelfOf, Spool } from './api';
import { askStage, getJson, located, type Mistake, postJson, Refusal } from './ask';
import type { Bench } from './bench';
import { Group } from './fields';
import { readJob, sendable, valueAt } from './job';
import { build, mass, run, type Units } from './units';
import { SpoolFields } from './wind';

/** A spool of the book as one of a job's list. */
export const stockItem = (s: Spool): Record<string, string> => ({
    wire: s.size, ...(s.build === null ? {} : { build: build(s.size, s.build) }), material: s.material ?? 'copper',
    ...(s.thermal_class_c === null ? {} : { thermal_class: String(s.thermal_class_c) }),
    on_spool: `${(s.left_m ?? 0).toFixed(1)} m`,
    ...(s.price === null ? {} : { price: s.price.toFixed(2) }),
});

const unitsOf = (spool: Spool): Units => (spool.size.endsWith('AWG') ? 'inch' : 'metric');

function Row({ spool, done }: { spool: Spool; done: (shelf: ShelfOf) => void }) {
    const [amount, setAmount] = useState('');
    const [why, setWhy] = useState('');
    const units = unitsOf(spool);
    const name = `${spool.size} ${build(spool.size, spool.build ?? '')} ${spool.material ?? ''}`;
    const book = (key: 'used' | 'left'): void => {
        postJson<ShelfOf>('/api/book/use', JSON.stringify({ spool: spool.spool, [key]: amount })).then(
            (shelf) => { setAmount(''); setWhy(''); done(shelf); }, (trouble: Error) => setWhy(trouble.message));
    };
    const part = (spool.left_kg ?? 0) / (spool.bought_kg ?? Infinity);
    return (
        <li class="spool">
            <div class="shelf-row">
                <p class="shelf-name"><b>{name}</b>
                    <small>{spool.thermal_class_c !== null && `class ${spool.thermal_class_c}, `}bought as {mass(spool.bought_kg, units)}{spool.price !== null && `, price ${spool.price.toFixed(2)}`}</small></p>
                <p class="shelf-left"><b>{mass(spool.left_kg, units)}</b><small>{run(spool.left_m, units)} left</small></p>
                <span class="bar" aria-hidden="true"><i style={{ width: `${Math.min(100, 100 * part)}%` }} /></span>
            </div>
            <div class="shelf-book">
                <input type="text" aria-label={`Amount of ${name}`} placeholder={units === 'inch' ? 'as in 4 oz, or 300 ft' : 'as in 120 g, or 50 m'} value={amount}
                    autocomplete="off" onInput={(e) => setAmount(e.currentTarget.value)} />
                <button type="button" disabled={amount === ''} aria-label={`Book off: ${name}`} onClick={() => book('used')}>Book off</button>
                <button type="button" disabled={amount === ''} aria-label={`Weighed, so much is left: ${name}`} onClick={() => book('left')}>So much is left</button>
            </div>
            <p class={`beneath ${why === '' ? '' : 'wrong'}`} role="status">{why}</p>
        </li>
    );
}

const blank = 'coilwright: 1\nstock:\n  - {wire: "", build: heavy}\n';

/** The same fields as in a job; what the server does not take is told beside them. */
function PutUp({ done }: { done: (shelf: ShelfOf) => void }) {
    const [text, setText] = useState(blank);
    const [mistakes, setMistakes] = useState<readonly Mistake[]>([]);
    const [told, tell] = useState('');
    const job = useMemo(() => readJob(text), [text]);
    const bench: Bench = {
        id: '', book: true, job, answer: null, stale: false, units: 'metric', step: 0, detail: '', go: () => undefined, keep: () => undefined,
        outcome: { job, answer: null, mistakes, understood: new Map(), leftOut: [], indices: {} },
        change: (next) => { setText(next); setMistakes([]); tell(''); },
    };
    const put = (): void => {
        askStage<ShelfOf>('/api/book/spools', text).then(
            (shelf) => { setText(blank); tell('It is on the shelf.'); done(shelf); },
            (trouble: Error) => {
                const body = trouble instanceof Refusal ? trouble.body : null;
                if (body !== null && 'errors' in body) setMistakes(located(body.errors, { ...sendable(job), job, indices: {} }));
                else tell(trouble.message);
            });
    };
    return (
        <Group title="Put up a spool">
            <form onSubmit={(e) => { e.preventDefault(); put(); }}>
                <SpoolFields bench={bench} index={0} />
                <div class="buttons"><button type="submit" class="main" disabled={valueAt(job, ['stock', 0, 'wire']) === ''}>Put it on the shelf</button></div>
                <p role="status">{told}</p>
            </form>
        </Group>
    );
}

export function Shelf() {
    const [shelf, setShelf] = useState<ShelfOf | null>(null);
    const [told, tell] = useState('');
    useEffect(() => { getJson<ShelfOf>('/api/book/shelf').then(setShelf, (trouble: Error) => tell(trouble.message)); }, []);
    return (
        <div class="start">
            <p class="told" role="status">{told}</p>
            {shelf !== null && (
                <Group title="On the shelf" about="Booked off by mass or length; the scale has the last word.">
                    {shelf.spools.length === 0 ? <p class="calm">There is no wire in the book yet.</p>
                        : <ol class="spools">{shelf.spools.map((s) => <Row spool={s} done={setShelf} key={s.spool} />)}</ol>}
                </Group>
            )}
            <PutUp done={setShelf} />
        </div>
    );
}
