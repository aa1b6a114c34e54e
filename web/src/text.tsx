// SPDX-License-Identifier: GPL-3.0-or-later
// The job as text, for those who like it: the same that the form changes.
import { useEffect, useRef, useState } from 'preact/hooks';
import type { BookJob } from './api';
import { fetchText, getJson } from './ask';
import type { Bench } from './bench';
import { idOf, jobNumber } from './kept';
import { putJob } from './start';

/** What the book has of before, and a new job that starts from this one. */
function Earlier({ bench, number }: { bench: Bench; number: number }) {
    const [job, setJob] = useState<BookJob | null>(null);
    const [chosen, choose] = useState('');
    const [told, tell] = useState('');
    const look = (): void => { getJson<BookJob>(`/api/book/job?job=${number}`).then(setJob, (trouble: Error) => tell(trouble.message)); };
    useEffect(look, [number]);
    const back = (): void => {
        fetchText(`/api/book/version?job=${number}&version=${chosen}`).then(
            (text) => { bench.change(text); tell(`Version ${chosen} is back, as a version of its own; Undo takes it away again.`); },
            (trouble: Error) => tell(trouble.message));
    };
    return (
        <section class="group">
            <h2>In the book</h2>
            <div class="field"><label for="version">Every version of {idOf(number)} is there</label>
                <select id="version" value={chosen} onFocus={look} onChange={(e) => choose(e.currentTarget.value)}>
                    <option value="">choose one</option>
                    {[...(job?.versions ?? [])].reverse().map((v) => <option value={String(v.version)} key={v.version}>{`Version ${v.version}, ${new Date(1000 * v.time_s).toLocaleString()}`}</option>)}
                </select></div>
            <div class="buttons"><button type="button" disabled={chosen === ''} onClick={back}>Bring it back</button>
                <button type="button" onClick={() => putJob(bench.job.text, true).then((id) => { location.hash = `${id}/came-in`; }, (trouble: Error) => tell(trouble.message))}>New job that starts from this one</button></div>
            <p role="status">{told}</p>
        </section>
    );
}

export function Text({ bench }: { bench: Bench }) {
    const area = useRef<HTMLTextAreaElement>(null);
    const mistakes = bench.outcome?.mistakes ?? [];
    const goTo = (line: number, column: number): void => {
        const lines = bench.job.text.split('\n');
        const offset = lines.slice(0, line - 1).reduce((sum, l) => sum + l.length + 1, 0) + Math.max(0, column - 1);
        area.current?.focus();
        area.current?.setSelectionRange(offset, offset);
    };
    const number = jobNumber(bench.id);
    return (
        <>
        <section class="group">
            <h2><label for="job-text">Job text</label></h2>
            <p class="about">The form and this are one: what changes here changes there, comments stay.</p>
            <ul class="mistakes" aria-live="polite">
                {mistakes.map((m) => (
                    <li key={`${m.line}:${m.column}:${m.text}`}>
                        <button type="button" class="quiet" onClick={() => goTo(m.line, m.column)}>Line {m.line}, {m.column}</button>
                        <span>{m.text}{m.expected !== '' && ` Expected: ${m.expected}.`}</span>
                    </li>
                ))}
            </ul>
            <textarea id="job-text" ref={area} spellcheck={false} rows={Math.max(24, bench.job.text.split('\n').length + 2)}
                value={bench.job.text} onInput={(e) => bench.change(e.currentTarget.value)} />
        </section>
        {number !== null && <Earlier bench={bench} number={number} />}
        </>
    );
}
