// SPDX-License-Identifier: GPL-3.0-or-later
// What every view is handed: the job as typed, the newest answer, and how to change the text.
import type { Answer } from './api';
import type { Mistake, Outcome } from './ask';
import { type Job, type Path, pathName, readJob, sendable } from './job';
import type { Units } from './units';

export interface Bench {
    readonly id: string;
    readonly book: boolean;         // the server keeps one
    readonly job: Job;
    readonly outcome: Outcome | null;
    readonly answer: Answer | null; // the newest there is, maybe to an earlier text
    readonly stale: boolean;        // it is to an earlier text
    readonly units: Units;
    readonly step: number;          // at the lathe
    readonly detail: string;        // what the view keeps in the address
    change(text: string): void;
    go(view: View, step?: number): void;
    keep(detail: string): void;
}

export const VIEWS = ['came-in', 'was', 'wind', 'magnet', 'switching', 'former', 'lathe', 'proof', 'papers', 'text'] as const;
export type View = (typeof VIEWS)[number];
export const VIEW_NAMES: Readonly<Record<View, string>> = {
    'came-in': 'What came in',
    was: 'What it was',
    wind: 'What to wind',
    magnet: 'Magnet',
    switching: 'Switching',
    former: 'Former',
    lathe: 'At the lathe',
    proof: 'Proof',
    papers: 'Papers',
    text: 'Job text',
};

/** The mistake of a field. */
export function mistakeAt(bench: Bench, path: Path): Mistake | undefined {
    const name = pathName(path);
    return bench.outcome?.mistakes.find((m) => pathName(m.path) === name);
}

/** Mistakes that no field of the form shows. */
export function looseMistakes(bench: Bench, shown: (path: Path) => boolean): readonly Mistake[] {
    return bench.outcome?.mistakes.filter((m) => !shown(m.path)) ?? [];
}

/** The text that papers are made from: what is wrong or unfinished in lists is left out, as in the answer. */
export const paperText = (bench: Bench): string =>
    bench.outcome?.job.text ?? sendable(readJob(bench.job.text)).job.text;
