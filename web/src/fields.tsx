// SPDX-License-Identifier: GPL-3.0-or-later
// Fields of the form: a label, what is typed, and beneath it what was understood or what is wrong.
import type { ComponentChildren } from 'preact';
import { type Bench, mistakeAt } from './bench';
import { type Path, pathName, setPair, setValue, valueAt } from './job';

const idOf = (path: Path): string => `field-${pathName(path).replace(/[^a-z0-9]/gi, '-')}`;

function Beneath({ id, mistake, note }: { id: string; mistake: string | undefined; note: string | undefined }) {
    if (mistake !== undefined) return <p class="beneath wrong" id={id}><b>Not so: </b>{mistake}</p>;
    return <p class="beneath" id={id}>{note ?? ''}</p>;
}

interface FieldProps {
    readonly bench: Bench;
    readonly path: Path;
    readonly label: string;
    readonly example?: string | undefined;
    readonly note?: string | undefined; // what was understood
    readonly kind?: 'narrow' | 'wide';
}

export function Field({ bench, path, label, example, note, kind }: FieldProps) {
    const id = idOf(path);
    const value = valueAt(bench.job, path);
    const mistake = value === '' ? undefined : mistakeAt(bench, path)?.text;
    return (
        <div class={`field ${kind ?? ''}`}>
            <label for={id}>{label}</label>
            <input id={id} type="text" autocomplete="off" autocapitalize="off" spellcheck={false} value={value}
                placeholder={example === undefined ? '' : `as in ${example}`} aria-invalid={mistake !== undefined}
                aria-describedby={`${id}-beneath`}
                onInput={(e) => bench.change(setValue(bench.job, path, e.currentTarget.value))} />
            <Beneath id={`${id}-beneath`} mistake={mistake} note={note} />
        </div>
    );
}

/** Two of one kind, kept as a list: [120 mm, 36 mm]. */
export function PairField({ bench, path, labels, examples, notes }: {
    bench: Bench; path: Path; labels: readonly [string, string]; examples: readonly [string, string];
    notes: readonly (string | undefined)[];
}) {
    const values = [valueAt(bench.job, [...path, 0]), valueAt(bench.job, [...path, 1])];
    return (
        <>
            {labels.map((label, i) => {
                const id = idOf([...path, i]);
                const mistake = values[i] === '' ? undefined
                    : (mistakeAt(bench, [...path, i]) ?? (i === 0 ? mistakeAt(bench, path) : undefined))?.text;
                return (
                    <div class="field" key={label}>
                        <label for={id}>{label}</label>
                        <input id={id} type="text" autocomplete="off" spellcheck={false} value={values[i] ?? ''}
                            placeholder={`as in ${examples[i]}`} aria-invalid={mistake !== undefined}
                            aria-describedby={`${id}-beneath`}
                            onInput={(e) => {
                                const next = [...values];
                                next[i] = e.currentTarget.value;
                                bench.change(setPair(bench.job, path, next));
                            }} />
                        <Beneath id={`${id}-beneath`} mistake={mistake} note={notes[i]} />
                    </div>
                );
            })}
        </>
    );
}

/** A choice of words; the first stands for "nothing said". */
export function Choose({ bench, path, label, options, none, note }: {
    bench: Bench; path: Path; label: string; options: readonly (readonly [string, string])[]; none?: string; note?: string;
}) {
    const id = idOf(path);
    const value = valueAt(bench.job, path);
    const known = value === '' || options.some(([word]) => word === value);
    const mistake = mistakeAt(bench, path)?.text;
    return (
        <div class="field">
            <label for={id}>{label}</label>
            <select id={id} value={value} aria-describedby={`${id}-beneath`}
                onChange={(e) => bench.change(setValue(bench.job, path, e.currentTarget.value))}>
                {none !== undefined && <option value="">{none}</option>}
                {options.map(([word, name]) => <option value={word} key={word}>{name}</option>)}
                {!known && <option value={value}>{value}</option>}
            </select>
            <Beneath id={`${id}-beneath`} mistake={mistake} note={note} />
        </div>
    );
}

export function Group({ title, about, children }: { title: string; about?: string; children: ComponentChildren }) {
    return (
        <section class="group">
            <h2>{title}</h2>
            {about !== undefined && <p class="about">{about}</p>}
            {children}
        </section>
    );
}
