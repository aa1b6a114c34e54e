// SPDX-License-Identifier: GPL-3.0-or-later
// A stage that takes the server a moment: asked for when its view is open, again when the job has changed, the newest only.
import { useEffect, useState } from 'preact/hooks';
import { askStage } from './ask';
import { type Bench, paperText } from './bench';

const PAUSE_MS = 150;

export interface Stage<T> {
    readonly value: T | null;   // the newest there is
    readonly why: string;       // there is none
    readonly stale: boolean;    // it is of before the last change
}

const last = new Map<string, { text: string; value: unknown }>(); // so that a look elsewhere and back costs nothing

export function useStage<T>(bench: Bench, path: string): Stage<T> {
    const text = paperText(bench);
    const ready = bench.outcome !== null;
    const [stage, setStage] = useState<{ path: string; text: string; value: T | null; why: string } | null>(null);
    useEffect(() => {
        const known = last.get(path);
        if (!ready) return undefined;
        if (known?.text === text) {
            setStage({ path, text, value: known.value as T, why: '' });
            return undefined;
        }
        const leave = new AbortController();
        const timer = setTimeout(() => {
            askStage<T>(path, text, leave.signal).then(
                (value) => {
                    last.set(path, { text, value });
                    setStage({ path, text, value, why: '' });
                },
                (trouble: Error) => {
                    if (!leave.signal.aborted) setStage({ path, text, value: null, why: trouble instanceof TypeError ? 'The server does not answer.' : trouble.message });
                });
        }, PAUSE_MS);
        return () => {
            clearTimeout(timer);
            leave.abort();
        };
    }, [path, text, ready]);
    return { value: stage?.value ?? null, why: stage?.why ?? '', stale: stage !== null && (stage.text !== text || stage.path !== path) };
}
