// SPDX-License-Identifier: GPL-3.0-or-later
// The job's text is the state: the form reads it and changes it in place, comments and all.
import { Document, LineCounter, Pair, Scalar, YAMLMap, YAMLSeq, isCollection, isMap, isPair, isScalar, isSeq,
    parseDocument } from 'yaml';

export type Path = readonly (string | number)[];

/** A text, read. All scalars stay the words that were typed. */
export interface Job {
    readonly text: string;
    readonly document: Document;
    readonly lines: LineCounter;
    readonly broken: boolean;
}

export function readJob(text: string): Job {
    const lines = new LineCounter();
    const document = parseDocument(text, { schema: 'failsafe', lineCounter: lines, prettyErrors: false });
    return { text, document, lines, broken: document.errors.length > 0 || !(document.contents === null || isMap(document.contents)) };
}

export function emptyJob(units: 'metric' | 'inch'): string {
    return `coilwright: 1\nunits: ${units}\n`;
}

/** What stands at a place; '' where nothing does. */
export function valueAt(job: Job, path: Path): string {
    if (job.broken) return '';
    const node: unknown = job.document.getIn(path, true);
    if (isScalar(node)) return String(node.value ?? '');
    if (isSeq(node)) return `[${node.items.map((i) => (isScalar(i) ? String(i.value) : '')).join(', ')}]`;
    return '';
}

export function lengthAt(job: Job, path: Path): number {
    const node: unknown = job.broken ? undefined : job.document.getIn(path, true);
    return isCollection(node) ? node.items.length : 0;
}

function write(document: Document): string {
    return document.toString({ lineWidth: 0, flowCollectionPadding: false });
}

/** Takes away what has become empty on the way up. */
function prune(document: Document, path: Path): void {
    for (let depth = path.length; depth > 0; depth--) {
        const at = path.slice(0, depth);
        const node: unknown = document.getIn(at, true);
        if (isSeq(node) && node.items.length > 0 && node.items.every((i) => isScalar(i) && i.value === '')) document.deleteIn(at);
        else if (isCollection(node) ? node.items.length === 0 : isScalar(node) && node.value === '') document.deleteIn(at);
    }
}

/** Replaces what is no collection where one is needed: "window:" with nothing behind it. */
function makeRoom(document: Document, path: Path): void {
    for (let depth = 1; depth < path.length; depth++) {
        const node: unknown = document.getIn(path.slice(0, depth), true);
        if (node !== undefined && !isCollection(node)) document.deleteIn(path.slice(0, depth));
    }
}

/** The text with a value set, or taken away where it is empty. What is in lists stays, however empty. */
export function setValue(job: Job, path: Path, value: string): string {
    const { document } = readJob(job.text);
    if (value === '' && typeof path[path.length - 1] !== 'number') {
        document.deleteIn(path);
        if (!(typeof path[1] === 'number')) prune(document, path.slice(0, -1));
    } else {
        makeRoom(document, path);
        document.setIn(path, value);
        if (value === '') prune(document, path);
    }
    return write(document);
}

/** The text with a list in brackets at a place: [120 mm, 36 mm]. */
export function setPair(job: Job, path: Path, values: readonly string[]): string {
    const { document } = readJob(job.text);
    makeRoom(document, path);
    if (values.every((v) => v === '')) {
        document.deleteIn(path);
        prune(document, path.slice(0, -1));
    } else {
        const list = new YAMLSeq();
        list.flow = true;
        list.items = values.map((v) => new Scalar(v));
        document.setIn(path, list);
    }
    return write(document);
}

/** The text with one more item in a list. */
export function addItem(job: Job, list: string, fields: Readonly<Record<string, string>>): string {
    const { document } = readJob(job.text);
    const item = new YAMLMap();
    item.flow = true;
    item.items = Object.entries(fields).map(([key, value]) => new Pair(new Scalar(key), new Scalar(value)));
    makeRoom(document, [list, 0]);
    if (isSeq(document.getIn([list], true))) document.addIn([list], item);
    else {
        const made = new YAMLSeq();
        made.items = [item];
        document.setIn([list], made);
    }
    return write(document);
}

export function removeItem(job: Job, list: string, index: number): string {
    const { document } = readJob(job.text);
    document.deleteIn([list, index]);
    prune(document, [list]);
    return write(document);
}

export function clearList(job: Job, list: string): string {
    const { document } = readJob(job.text);
    document.deleteIn([list]);
    return write(document);
}

/** A text for the server, and which of the form's items its items are. */
export interface Sendable {
    readonly job: Job;
    readonly indices: Readonly<Record<string, readonly number[]>>;
}

/** Leaves out readings, spools and tests that are named in `without`, or have nothing in them yet. */
export function sendable(job: Job, without: readonly Path[] = []): Sendable {
    const indices: Record<string, number[]> = {};
    const { document } = readJob(job.text);
    let changed = false;
    for (const [list, needed] of [['readings', 'value'], ['stock', 'wire'], ['proof', 'value']] as const) {
        const count = lengthAt(job, [list]);
        const kept: number[] = [];
        for (let i = count - 1; i >= 0; i--) {
            const left = without.some((p) => p[0] === list && p[1] === i);
            if (left || valueAt(job, [list, i, needed]) === '') {
                document.deleteIn([list, i]);
                changed = true;
            } else kept.unshift(i);
        }
        if (kept.length === 0) document.deleteIn([list]);
        indices[list] = kept;
    }
    return { job: job.broken || !changed ? job : readJob(write(document)), indices };
}

function within(node: unknown, offset: number): boolean {
    const range = isPair(node) ? [(node.key as Scalar).range?.[0], rangeEnd(node)] : (node as Scalar | undefined)?.range;
    return range?.[0] !== undefined && range[1] !== undefined && offset >= range[0] && offset <= range[1];
}

function rangeEnd(pair: Pair): number | undefined {
    const value = pair.value as Scalar | null;
    return value?.range?.[1] ?? (pair.key as Scalar).range?.[1];
}

/** The place in the job of a line and a column, as deep as it goes. */
export function pathAt(job: Job, line: number, column: number): Path {
    const start = job.lines.lineStarts[line - 1];
    if (start === undefined || job.broken) return [];
    const offset = start + Math.max(column - 1, 0);
    const path: (string | number)[] = [];
    let node: unknown = job.document.contents;
    while (isCollection(node)) {
        const at: number = node.items.findIndex((item) => within(item, offset));
        const item: unknown = node.items[at];
        if (isPair(item)) {
            path.push(String((item.key as Scalar).value));
            node = item.value;
        } else if (item !== undefined) {
            path.push(at);
            node = item;
        } else break;
    }
    return path;
}

export const pathName = (path: Path): string => path.join('.');
