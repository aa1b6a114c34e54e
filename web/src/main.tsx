// SPDX-License-Identifier: GPL-3.0-or-later
// The page: address, undo, and one question after another to the server.
import { render } from 'preact';
import { useCallback, useEffect, useMemo, useRef, useState } from 'preact/hooks';
import { newestOnly, type Outcome } from './ask';
import { type Bench, VIEW_NAMES, VIEWS, type View } from './bench';
import { CameIn } from './came-in';
import { readJob, valueAt } from './job';
import { Lathe } from './lathe';
import { Papers } from './papers';
import { Start } from './start';
import { load, loadPlace, save, watch } from './store';
import { Text } from './text';
import { Was } from './was';
import { Wind } from './wind';

interface Address {
    readonly id: string;
    readonly view: View;
    readonly step: number | null;
}

function readAddress(): Address | null {
    const [id, view, step] = location.hash.slice(1).split('/');
    if (!id || load(id) === null) return null;
    return {
        id,
        view: VIEWS.find((v) => v === view) ?? 'came-in',
        step: step === undefined || !/^\d{1,6}$/.test(step) ? null : Number(step),
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
        return () => {
            removeEventListener('hashchange', changed);
            removeEventListener('popstate', changed);
        };
    }, []);
    return address;
}

const UNDO_MOST = 300;
const ONE_EDIT_MS = 900; // keys closer together than this are undone together

/** The job's text, saved at every key, with undo; what another tab types arrives here too. */
function useText(id: string) {
    const [text, setText] = useState(() => load(id)?.text ?? '');
    const [notice, setNotice] = useState('');
    const past = useRef<string[]>([]);
    const future = useRef<string[]>([]);
    const last = useRef(0);
    const put = useCallback((next: string): void => {
        setText(next);
        setNotice(save(id, next) ? '' : 'This browser does not keep what you type. Save the job file under Papers.');
    }, [id]);
    const change = useCallback((next: string): void => {
        setText((old) => {
            if (next !== old && (Date.now() - last.current > ONE_EDIT_MS || past.current.length === 0)) {
                past.current = [...past.current.slice(-UNDO_MOST), old];
            }
            return old;
        });
        last.current = Date.now();
        future.current = [];
        put(next);
    }, [put]);
    const step = (from: { current: string[] }, to: { current: string[] }): void => {
        const found = from.current.pop();
        if (found === undefined) return;
        to.current.push(text);
        last.current = 0;
        put(found);
    };
    useEffect(() => watch(id, (other) => {
        setText((old) => {
            past.current = [...past.current.slice(-UNDO_MOST), old];
            return other;
        });
        setNotice('This job was changed in another tab, and is shown as it is now. Undo brings back what was here.');
    }), [id]);
    return { text, notice, change, undo: () => step(past, future), redo: () => step(future, past), past, future };
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
    return (
        <nav class="tabs" aria-label="Steps of the job">
            {VIEWS.map((v) => (
                <a href={`#${id}/${v}${v === 'lathe' ? `/${step}` : ''}`} aria-current={v === view ? 'page' : undefined} key={v}>{VIEW_NAMES[v]}</a>
            ))}
        </nav>
    );
}

const SCREENS: Readonly<Record<View, (props: { bench: Bench }) => preact.JSX.Element>> = {
    'came-in': CameIn, was: Was, wind: Wind, lathe: Lathe, papers: Papers, text: Text,
};

function JobPage({ address }: { address: Address }) {
    const { id, view } = address;
    const { text, notice, change, undo, redo, past, future } = useText(id);
    const { outcome, good, failure } = useOutcome(text);
    const job = useMemo(() => readJob(text), [text]);
    const heading = useRef<HTMLHeadingElement>(null);
    const seen = useRef(view);
    const step = address.step ?? loadPlace(id);
    const bench: Bench = {
        id, job, outcome, step, change,
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
                <div class="undo">
                    <button type="button" class="quiet" onClick={undo} disabled={past.current.length === 0}>Undo</button>
                    <button type="button" class="quiet" onClick={redo} disabled={future.current.length === 0}>Redo</button>
                </div>
            </header>
            <Tabs id={id} view={view} step={step} />
            <main class={`view-${view}`}>
                <div role="status">
                    {failure !== '' && <p class="notice wrong">{failure}</p>}
                    {notice !== '' && <p class="notice">{notice}</p>}
                    {job.broken && view !== 'text' && <p class="notice wrong"><b>The job text cannot be read. </b>
                        {outcome?.mistakes[0]?.text} <a href={`#${id}/text`}>Put it right in the text</a>, or undo.</p>}
                </div>
                {(!job.broken || view === 'text') && <Screen bench={bench} />}
            </main>
        </>
    );
}

function App() {
    const address = useAddress();
    if (address !== null) return <JobPage address={address} key={address.id} />;
    return (
        <>
            <header class="top"><span class="home">Coilwright</span><h1>From a dead coil to a wound one</h1></header>
            <main><Start open={(id) => { location.hash = `${id}/came-in`; }} /></main>
        </>
    );
}

const root = document.getElementById('page');
if (root !== null) {
    root.textContent = '';
    render(<App />, root);
}
