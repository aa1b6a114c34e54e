// SPDX-License-Identifier: GPL-3.0-or-later
// The text of a job while it is open: kept at every key, by the book or by this browser, and undone step by step.
import { useCallback, useEffect, useRef, useState } from 'preact/hooks';
import type { BookJob, Conflict } from './api';
import { getJson, Refusal } from './ask';
import { jobNumber, Keeper, type Keeping } from './kept';
import { load, save, watch } from './store';

const UNDO_MOST = 300;
const ONE_EDIT_MS = 900; // keys closer together than this are undone together

export interface Typed {
    readonly text: string;
    readonly notice: string;
    readonly keeping: Keeping | 'browser' | 'opening';
    readonly conflict: Conflict | null;
    readonly canUndo: boolean;
    readonly canRedo: boolean;
    change(text: string): void;
    undo(): void;
    redo(): void;
    decide(whose: 'mine' | 'theirs'): void;
}

const FROM_ELSEWHERE = 'This job was changed elsewhere, and is shown as it is now. Undo brings back what was here.';

/** What was there before, and what comes after. */
function useSteps(text: string, put: (text: string) => void) {
    const past = useRef<string[]>([]);
    const future = useRef<string[]>([]);
    const last = useRef(0);
    const remember = useCallback((old: string): void => { past.current = [...past.current.slice(-UNDO_MOST), old]; }, []);
    const change = (next: string): void => {
        if (next === text) return;
        if (Date.now() - last.current > ONE_EDIT_MS || past.current.length === 0) remember(text);
        last.current = Date.now();
        future.current = [];
        put(next);
    };
    const step = (from: { current: string[] }, to: { current: string[] }): void => {
        const found = from.current.pop();
        if (found === undefined) return;
        to.current.push(text);
        last.current = 0;
        put(found);
    };
    return {
        remember, change, undo: () => step(past, future), redo: () => step(future, past),
        canUndo: past.current.length > 0, canRedo: future.current.length > 0,
    };
}

function useBrowserText(id: string): Typed {
    const [text, setText] = useState(() => load(id)?.text ?? '');
    const [notice, setNotice] = useState('');
    const put = useCallback((next: string): void => {
        setText(next);
        setNotice(save(id, next) ? '' : 'This browser does not keep what you type. Save the job file under Papers.');
    }, [id]);
    const { remember, ...steps } = useSteps(text, put);
    useEffect(() => watch(id, (other) => setText((old) => {
        remember(old);
        setNotice(FROM_ELSEWHERE);
        return other;
    })), [id]);
    return { ...steps, text, notice, keeping: 'browser', conflict: null, decide: () => undefined };
}

function useBookText(number: number): Typed {
    const [keeper, setKeeper] = useState<Keeper | null>(null);
    const [text, setText] = useState('');
    const [notice, setNotice] = useState('');
    const [, redraw] = useState(0);
    const put = useCallback((next: string): void => {
        setText(next);
        keeper?.type(next);
    }, [keeper]);
    const { remember, ...steps } = useSteps(text, put);
    useEffect(() => {
        let closed = false;
        let made: Keeper | null = null;
        let timer = 0;
        const openIt = async (): Promise<void> => {
            try {
                const job = await getJson<BookJob>(`/api/book/job?job=${number}`);
                if (closed) return;
                made = new Keeper(job);
                made.onChange = () => redraw((n) => n + 1);
                made.onTaken = (taken) => setText((old) => {
                    remember(old);
                    setNotice(FROM_ELSEWHERE);
                    return taken;
                });
                setText(made.text);
                setNotice('');
                setKeeper(made);
            } catch (trouble) {
                if (closed) return;
                setNotice(trouble instanceof Refusal ? trouble.message : 'The server does not answer; it is asked again in a moment.');
                timer = setTimeout(() => void openIt(), 2000) as unknown as number;
            }
        };
        void openIt();
        return () => {
            closed = true;
            clearTimeout(timer);
            made?.close();
        };
    }, [number]);
    return {
        ...steps, text, notice: keeper?.why || notice, keeping: keeper?.keeping ?? 'opening', conflict: keeper?.conflict ?? null,
        change: (next) => { setNotice(''); steps.change(next); },
        decide: (whose) => { if (whose === 'theirs') remember(text); keeper?.decide(whose); },
    };
}

/** An id never changes its kind, so the order of hooks is the same at every call. */
export function useTyped(id: string): Typed {
    const number = jobNumber(id);
    return number === null ? useBrowserText(id) : useBookText(number);
}
