// SPDX-License-Identifier: GPL-3.0-or-later
// The first view: a new job, one of the book, one of this browser, or an example to try.
import { useEffect, useState } from 'preact/hooks';
import type { Hit, Hits, Saved } from './api';
import { fetchText, getJson, postJson } from './ask';
import { emptyJob, readJob, valueAt } from './job';
import { idOf } from './kept';
import { forget, list, newId, save } from './store';
import { count, ohm } from './units';

const MOST = 1024 * 1024; // bytes of a job file
const SOON_MS = 180;      // after the last key of a search

/** Puts a job where jobs are kept, and gives its id. */
export async function putJob(text: string, book: boolean): Promise<string> {
    if (book) return idOf((await postJson<Saved>('/api/book/add', JSON.stringify({ yaml: text }))).job);
    const id = newId();
    if (!save(id, text)) throw new Error('This browser keeps nothing for this page; allow it to store data, so that nothing typed is lost.');
    return id;
}

const STATES: Readonly<Record<Hit['state'], string>> = { open: 'open', wound: 'wound', proved: 'proved', failed: 'failed its proof' };
const day = (seconds: number): string => new Date(1000 * seconds).toLocaleDateString(undefined, { dateStyle: 'medium' });

function Found({ hit }: { hit: Hit }) {
    const { keys } = hit;
    return (
        <li>
            <a href={`#${idOf(hit.job)}/came-in`}>{hit.name}
                <small>{[hit.machine, keys.wire !== null && `${count(keys.turns)} turns of ${keys.wire} ${keys.build ?? ''}`,
                    keys.resistance_20c_ohm !== null && `${ohm(keys.resistance_20c_ohm)} at 20 °C`].filter(Boolean).join(', ')}</small></a>
            <span class={`state ${hit.state}`}>{STATES[hit.state]}</span>
            <span class="when">{day(hit.changed_s)}</span>
        </li>
    );
}

function Search({ tell }: { tell: (what: string) => void }) {
    const [wanted, setWanted] = useState({ text: '', resistance: '', inner: '', state: '' });
    const [hits, setHits] = useState<Hits | null>(null);
    const [wrong, setWrong] = useState('');
    useEffect(() => {
        let current = true;
        const timer = setTimeout(() => {
            getJson<Hits>(`/api/book/jobs?${new URLSearchParams(wanted)}`).then(
                (found) => { if (current) { setHits(found); setWrong(''); } },
                (trouble: Error) => { if (current) setWrong(trouble.message); });
        }, SOON_MS);
        return () => { current = false; clearTimeout(timer); };
    }, [wanted]);
    const field = (key: 'text' | 'resistance' | 'inner', label: string, example: string) => (
        <div class="field"><label for={`find-${key}`}>{label}</label>
            <input id={`find-${key}`} type="search" autocomplete="off" placeholder={`as in ${example}`} value={wanted[key]}
                onInput={(e) => { tell(''); setWanted({ ...wanted, [key]: e.currentTarget.value }); }} /></div>
    );
    return (
        <section class="group">
            <h2>In the book</h2>
            <form class="grid" role="search" onSubmit={(e) => e.preventDefault()}>
                {field('text', 'Machine, coil or note', 'brake')}
                {field('resistance', 'Resistance at 20 °C', '84 ohm')}
                {field('inner', 'Diameter of the first layer', '42 mm')}
                <div class="field"><label for="find-state">How far it is</label>
                    <select id="find-state" value={wanted.state} onChange={(e) => setWanted({ ...wanted, state: e.currentTarget.value })}>
                        <option value="">any</option>{Object.entries(STATES).map(([word, name]) => <option value={word} key={word}>{name}</option>)}
                    </select></div>
            </form>
            <p class="beneath wrong" role="status">{wrong}</p>
            {hits !== null && (hits.jobs.length === 0
                ? <p class="calm">{Object.values(wanted).every((w) => w === '') ? 'There is no job in it yet.' : 'Nothing like that is in it.'}</p>
                : <ul class="jobs">{hits.jobs.map((h) => <Found hit={h} key={h.job} />)}</ul>)}
            {hits?.more && <p class="calm">There are more; narrow the search.</p>}
        </section>
    );
}

function InBrowser({ book, begin, tell }: { book: boolean; begin: (text: string) => void; tell: (what: string) => void }) {
    const [jobs, setJobs] = useState(list);
    if (jobs.length === 0) return null;
    return (
        <section class="group">
            <h2>{book ? 'Only in this browser' : 'On the bench'}</h2>
            <ul class="jobs">{jobs.map(({ id, kept }) => {
                const job = readJob(kept.text);
                const name = valueAt(job, ['job', 'name']) || 'Coil without a name';
                return (
                    <li key={id}>
                        <a href={`#${id}/came-in`}>{name}<small>{valueAt(job, ['job', 'machine'])} {new Date(kept.changed).toLocaleString()}</small></a>
                        {book && <button type="button" class="quiet" aria-label={`Into the book: ${name}`} onClick={() => begin(kept.text)}>Into the book</button>}
                        <button type="button" class="quiet" aria-label={`Throw away: ${name}`} onClick={() => {
                            if (confirm(`Throw away "${name}"? It cannot be brought back.`)) { forget(id); setJobs(list()); tell(''); }
                        }}>Throw away</button>
                    </li>
                );
            })}</ul>
        </section>
    );
}

export function Start({ book, open }: { book: boolean; open: (id: string) => void }) {
    const [told, tell] = useState('');
    const begin = (text: string): void => { putJob(text, book).then(open, (trouble: Error) => tell(trouble.message)); };
    const example = (name: string): void => {
        fetchText(`/api/examples/${name}.yaml`).then(begin, (trouble: Error) => tell(trouble.message));
    };
    return (
        <div class="start">
            <p class="told" role="status">{told}</p>
            <section class="group">
                <h2>A coil came in</h2>
                <p class="about">Type the readings from the slip; the answer grows beside them as you type.</p>
                <div class="buttons">
                    <button type="button" class="main" onClick={() => begin(emptyJob('metric'))}>New job in millimetres</button>
                    <button type="button" class="main" onClick={() => begin(emptyJob('inch'))}>New job in inches</button>
                </div>
                <div class="field"><label for="open-file">Or open a job file</label>
                    <input id="open-file" type="file" accept=".yaml,.yml" onChange={(e) => {
                        const file = e.currentTarget.files?.[0];
                        if (file !== undefined && file.size <= MOST) void file.text().then(begin);
                        else if (file !== undefined) tell(`${file.name} is larger than 1 MB; a job is a page or two.`);
                    }} /></div>
            </section>
            {book && <Search tell={tell} />}
            <InBrowser book={book} begin={begin} tell={tell} />
            <section class="group">
                <h2>Try an invented one</h2>
                <div class="buttons">
                    <button type="button" onClick={() => example('press-brake')}>Press brake, in inches</button>
                    <button type="button" onClick={() => example('chuck-plate')}>Chuck plate, in millimetres</button>
                </div>
            </section>
        </div>
    );
}
