// SPDX-License-Identifier: GPL-3.0-or-later
// The job as text, for those who like it: the same that the form changes.
import { useRef } from 'preact/hooks';
import type { Bench } from './bench';

export function Text({ bench }: { bench: Bench }) {
    const area = useRef<HTMLTextAreaElement>(null);
    const mistakes = bench.outcome?.mistakes ?? [];
    const goTo = (line: number, column: number): void => {
        const lines = bench.job.text.split('\n');
        const offset = lines.slice(0, line - 1).reduce((sum, l) => sum + l.length + 1, 0) + Math.max(0, column - 1);
        area.current?.focus();
        area.current?.setSelectionRange(offset, offset);
    };
    return (
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
    );
}
