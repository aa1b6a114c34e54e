// SPDX-License-Identifier: GPL-3.0-or-later
// Questions to the server. While one is out, only the newest of those that come up is kept.
import type { Answer, Error as Trouble, Errors, Failure, Replay } from './api';
import { type Job, type Path, type Sendable, pathAt, pathName, sendable } from './job';

/** A mistake, and the field it belongs to. */
export interface Mistake extends Trouble {
    readonly path: Path;
}

/** What is known after a text was answered. */
export interface Outcome {
    readonly job: Job;                           // the text that this is the answer to
    readonly answer: Answer | null;              // null: nothing could be made of it
    readonly mistakes: readonly Mistake[];
    readonly understood: ReadonlyMap<number, string>; // by the form's index of the reading
    readonly leftOut: readonly Path[];           // readings that are wrong, and that the answer does without
    readonly indices: Sendable['indices'];
}

export const isFailure = (value: object): value is Failure => 'error' in value;

/** The server said no; with its own sentence. */
export class Refusal extends Error {
    constructor(readonly status: number, readonly body: Failure | Errors | null) {
        super(body === null ? `The server answered with ${status}.`
            : 'error' in body ? body.error.text : body.errors.map((e) => e.text).join(' '));
    }
}

async function accepted(response: Response): Promise<Response> {
    if (response.ok) return response;
    throw new Refusal(response.status, (await response.json().catch(() => null)) as Failure | Errors | null);
}

async function send(path: string, text: string, signal?: AbortSignal): Promise<Response> {
    return accepted(await fetch(path, {
        method: 'POST', headers: { 'Content-Type': 'application/yaml' }, body: text, ...(signal === undefined ? {} : { signal }),
    }));
}

export async function fetchFile(path: string, text: string): Promise<Blob> {
    return (await send(path, text)).blob();
}

/** A stage's document of a job. */
export async function askStage<T>(path: string, text: string, signal?: AbortSignal): Promise<T> {
    return (await send(path, text, signal)).json() as Promise<T>;
}

export async function getJson<T>(path: string): Promise<T> {
    return (await accepted(await fetch(path))).json() as Promise<T>;
}

/** body: JSON already */
export async function postJson<T>(path: string, body: string): Promise<T> {
    return (await accepted(await fetch(path, {
        method: 'POST', headers: { 'Content-Type': 'application/json' }, body,
    }))).json() as Promise<T>;
}

/** Replays a program against a job's winding. */
export const replayProgram = async (job: string, program: string): Promise<Replay> =>
    postJson<Replay>('/api/replay', JSON.stringify({ job, program }));

export async function fetchText(path: string): Promise<string> {
    return (await accepted(await fetch(path))).text();
}

/** The events of a long computation as they come [HTML, server-sent events]; leaving the loop or the signal ends it. */
export async function* events(path: string, text: string, signal: AbortSignal): AsyncGenerator<{ event: string; data: unknown }> {
    const reader = (await send(path, text, signal)).body?.pipeThrough(new TextDecoderStream()).getReader();
    let rest = '';
    for (let part = await reader?.read(); part !== undefined && !part.done; part = await reader?.read()) {
        const blocks = (rest + part.value).split('\n\n');
        rest = blocks.pop() ?? '';
        for (const block of blocks) {
            const found = /^event: (\S+)\ndata: (.*)$/.exec(block.trim());
            if (found !== null) yield { event: found[1] ?? '', data: JSON.parse(found[2] ?? 'null') as unknown };
        }
    }
}

async function answerTo(sent: Sendable): Promise<Answer | Errors> {
    return askStage<Answer | Errors>('/api/job', sent.job.text);
}

/** Places in the text that was sent, as places in the form. */
function inForm(path: Path, indices: Sendable['indices']): Path {
    const [list, index] = path;
    const known = typeof list === 'string' && typeof index === 'number' ? indices[list]?.[index] : undefined;
    return known === undefined ? path : [list as string, known, ...path.slice(2)];
}

export function located(errors: readonly Trouble[], sent: Sendable): Mistake[] {
    return errors.map((e) => ({ ...e, path: inForm(pathAt(sent.job, e.line, e.column), sent.indices) }));
}

/** Asks; where only readings or spools are wrong, asks again without them, so that the rest keeps its answer. */
async function ask(job: Job): Promise<Outcome> {
    let sent = sendable(job);
    let said = await answerTo(sent);
    const mistakes = said.ok ? [] : located(said.errors, sent);
    const items = mistakes.map((m) => m.path.slice(0, 2)).filter((p) => typeof p[1] === 'number');
    let leftOut: Path[] = [];
    if (!said.ok && items.length === mistakes.length) {
        leftOut = [...new Map(items.map((p) => [pathName(p), p])).values()];
        sent = sendable(job, leftOut);
        said = await answerTo(sent);
    }
    const understood = new Map<number, string>();
    if (said.ok)
        for (const reading of said.job.readings)
            understood.set(sent.indices['readings']?.[reading.index] ?? reading.index, reading.understood);
    return { job: sent.job, answer: said.ok ? said : null, mistakes, understood, leftOut, indices: sent.indices };
}

/** Answers the newest text asked for; those in between are skipped. */
export function newestOnly(done: (outcome: Outcome) => void, failed: (why: string) => void): (job: Job) => void {
    let waiting: Job | null = null;
    let busy = false;
    const go = async (): Promise<void> => {
        busy = true;
        while (waiting !== null) {
            const job = waiting;
            waiting = null;
            try {
                done(await ask(job));
            } catch (trouble) {
                failed(trouble instanceof TypeError
                    ? 'The server does not answer. What you type is kept; start "coilwright serve" again.'
                    : (trouble as Error).message);
            }
        }
        busy = false;
    };
    return (job) => {
        waiting = job;
        if (!busy) void go();
    };
}
