// SPDX-License-Identifier: GPL-3.0-or-later
// The page: address, undo, and one question after another to the server.
import { render } from 'preact';
import { useEffect, useMemo, useRef, useState } from 'preact/hooks';
import type { Book } from './api';
import { getJson, newestOnly, type Outcome } from './ask';
import { type Bench, VIEW_NAMES, VIEWS, type View } from './bench';
import { CameIn } from './came-in';
import { Former } from './former';
import { readJob, valueAt } from './job';
import { jobNumber } from './kept';
import { Lathe } from './lathe';
import { Magnet } from './magnet';
import { Papers } from './papers';
import { Proof } from './proof';
import { Shelf } from './shelf';
import { Start } from './start';
import { load, loadPlace } from './store';
import { Switching } from './switching';
import { Text } from './text';
import { type Typed, useTyped } from './typed';
import { Was } from './was';
import { Wind } from './wind';

interface Address {
    readonly id: string;
    readonly view: View;
    readonly step: number | null;
    readonly detail: string; // what else the view keeps
}

function readAddress(): Address | null {
    const [id, view, step] = location.hash.slice(1).split('/');
    if (!id || (jobNumber(id) === null && load(id) === null)) return null;
    return {
        id,
        view: VIEWS.find((v) => v === view) ?? 'came-in',
        step: step === undefined || !/^\d{1,6}$/.test(step) ? null : Number(step),
        detail: decodeURIComponent(step ?? ''),
    };
}

/** Changes the address; a step at the lathe takes the place of the one before, so that Back leaves the lathe. */
function moveTo(hash: string, instead: boolean): void {
    if (instead) history.replaceState(null, '', hash);
    else history.pushState(null, '', hash);
    dispatchEvent(new HashChangeEvent('hashchange'));
}

function useAddress(): Address | null {
    const [address, setAddress] = useState(readAddress);
    useEffect(() => {
        const changed = (): void => setAddress(readAddress());
        addEventListener('hashchange', changed);
        addEventListener('popstate', changed);
        changed(); // it may have changed before anybody listened
        return () => {
            removeEventListener('hashchange', changed);
            removeEventListener('popstate', changed);
        };
    }, []);
    return address;
}

function useOutcome(text: string): { outcome: Outcome | null; good: Outcome | null; failure: string } {
    const [outcome, setOutcome] = useState<Outcome | null>(null);
    const [good, setGood] = useState<Outcome | null>(null);
    const [failure, setFailure] = useState('');
    const ask = useMemo(() => newestOnly((o) => {
        setOutcome(o);
        setFailure('');
        if (o.answer !== null) setGood(o);
    }, setFailure), []);
    useEffect(() => ask(readJob(text)), [text]);
    return { outcome, good, failure };
}

function Tabs({ id, view, step }: { id: string; view: View; step: number }) {
    const bar = useRef<HTMLElement>(null);
    useEffect(() => { // the bar is wider than a narrow screen; the page itself must not move
        const here = bar.current?.querySelector<HTMLElement>('[aria-current]');
        if (bar.current && here) bar.current.scrollTo({ left: here.offsetLeft - (bar.current.clientWidth - here.offsetWidth) / 2 });
    }, [view]);
    return (
        <nav class="tabs" aria-label="Steps of the job" ref={bar}>
            {VIEWS.map((v) => (
                <a href={`#${id}/${v}${v === 'lathe' ? `/${step}` : ''}`} aria-current={v === view ? 'page' : undefined} key={v}>{VIEW_NAMES[v]}</a>
            ))}
        </nav>
    );
}

const SCREENS: Readonly<Record<View, (props: { bench: Bench }) => preact.JSX.Element>> = {
    'came-in': CameIn, was: Was, wind: Wind, magnet: Magnet, switching: Switching, former: Former, lathe: Lathe, proof: Proof, papers: Papers,
    text: Text,
};

const KEPT_WORDS: Readonly<Record<Typed['keeping'], string>> = {
    kept: 'Saved', busy: 'Saving', 'not-kept': 'Not saved yet', asking: 'Not saved: see the question', browser: '', opening: '',
};

/** Somebody else saved this job meanwhile: which of the two is it to be? Both stay in the book. */
function Question({ typed }: { typed: Typed }) {
    if (typed.conflict === null) return null;
    return (
        <section class="notice question" aria-labelledby="question" role="alert">
            <h2 id="question">Which of the two?</h2>
            <p>This job was changed elsewhere, in another tab or on another device, while you typed here. Nothing is lost:
                the other one stays in the book as version {typed.conflict.version}.</p>
            {typed.conflict.differences !== '' && <pre class="differences" tabIndex={0} aria-label="What differs: minus theirs, plus yours">{typed.conflict.differences}</pre>}
            <div class="buttons">
                <button type="button" class="main" onClick={() => typed.decide('mine')}>Keep what is typed here</button>
                <button type="button" onClick={() => typed.decide('theirs')}>Take the other one</button>
            </div>
        </section>
    );
}

function JobPage({ address, book }: { address: Address; book: boolean }) {
    const { id, view } = address;
    const typed = useTyped(id);
    const { text, notice, change, undo, redo } = typed;
    const { outcome, good, failure } = useOutcome(text);
    const job = useMemo(() => readJob(text), [text]);
    const heading = useRef<HTMLHeadingElement>(null);
    const seen = useRef(view);
    const step = address.step ?? loadPlace(id);
    const bench: Bench = {
        id, book, job, outcome, step, change, detail: address.detail,
        keep: (detail) => moveTo(`#${id}/${view}/${encodeURIComponent(detail)}`, true),
        answer: outcome?.answer ?? good?.answer ?? null,
        stale: outcome !== null && outcome.answer === null && good !== null,
        units: (outcome?.answer ?? good?.answer)?.job.units ?? (valueAt(job, ['units']) === 'inch' ? 'inch' : 'metric'),
        go: (to, at) => moveTo(`#${id}/${to}${to === 'lathe' ? `/${at ?? step}` : ''}`, to === 'lathe' && view === 'lathe'),
    };
    const Screen = SCREENS[view];
    const name = valueAt(job, ['job', 'name']) || 'Coil without a name';
    useEffect(() => {
        document.title = `${VIEW_NAMES[view]}: ${name}`;
        if (seen.current !== view) {
            heading.current?.focus(); // so that a screen reader says where one is
            scrollTo(0, 0);
        }
        seen.current = view;
    }, [view, name]);
    useEffect(() => {
        const keys = (event: KeyboardEvent): void => {
            const typing = event.target instanceof HTMLInputElement || event.target instanceof HTMLTextAreaElement;
            if (!(event.ctrlKey || event.metaKey) || event.key.toLowerCase() !== 'z' || typing) return;
            event.preventDefault();
            if (event.shiftKey) redo();
            else undo();
        };
        addEventListener('keydown', keys);
        return () => removeEventListener('keydown', keys);
    });
    return (
        <>
            <header class="top">
                <a class="home" href="#">Coilwright</a>
                <h1 ref={heading} tabIndex={-1}>{name}<span class="for-ears">, {VIEW_NAMES[view]}</span></h1>
                <p class={`keeping ${typed.keeping}`} role="status">{KEPT_WORDS[typed.keeping]}</p>
                <div class="undo">
                    <button type="button" class="quiet" onClick={undo} disabled={!typed.canUndo}>Undo</button>
                    <button type="button" class="quiet" onClick={redo} disabled={!typed.canRedo}>Redo</button>
                </div>
            </header>
            <Tabs id={id} view={view} step={step} />
            <main class={`view-${view}`}>
                <Question typed={typed} />
                <div role="status">
                    {failure !== '' && <p class="notice wrong">{failure}</p>}
                    {notice !== '' && <p class="notice">{notice}</p>}
                    {job.broken && view !== 'text' && <p class="notice wrong"><b>The job text cannot be read. </b>
                        {outcome?.mistakes[0]?.text} <a href={`#${id}/text`}>Put it right in the text</a>, or undo.</p>}
                </div>
                {typed.keeping === 'opening' ? notice === '' && <p class="calm">Opening the job.</p>
                    : (!job.broken || view === 'text') && <Screen bench={bench} />}
            </main>
        </>
    );
}

/** What the server keeps; null until it has said so. */
function useBook(): Book | null {
    const [book, setBook] = useState<Book | null>(null);
    useEffect(() => {
        getJson<Book>('/api/book').then(setBook, () => setBook({ kept: false, name: null }));
    }, []);
    return book;
}

const useHash = (): string => {
    const [hash, setHash] = useState(location.hash);
    useEffect(() => {
        const changed = (): void => setHash(location.hash);
        addEventListener('hashchange', changed);
        changed();
        return () => removeEventListener('hashchange', changed);
    }, []);
    return hash;
};

function App() {
    const address = useAddress();
    const book = useBook();
    const onShelf = useHash() === '#shelf';
    const heading = onShelf ? 'Wire on the shelf' : 'From a dead coil to a wound one';
    useEffect(() => { if (address === null) document.title = onShelf ? 'Wire on the shelf' : 'Coilwright'; }, [address === null, onShelf]);
    if (address !== null) return <JobPage address={address} book={book?.kept === true} key={address.id} />;
    return (
        <>
            <header class="top"><a class="home" href="#">Coilwright</a><h1>{heading}</h1>
                {book?.kept && <nav class="places" aria-label="The book">
                    <a href="#" aria-current={onShelf ? undefined : 'page'}>Jobs</a><a href="#shelf" aria-current={onShelf ? 'page' : undefined}>Shelf</a></nav>}
            </header>
            <main>{book !== null && (onShelf && book.kept ? <Shelf /> : <Start book={book.kept} open={(id) => { location.hash = `${id}/came-in`; }} />)}</main>
        </>
    );
}

const root = document.getElementById('page');
if (root !== null) {
    root.textContent = '';
    render(<App />, root);
}
