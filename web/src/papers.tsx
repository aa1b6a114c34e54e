// SPDX-License-Identifier: GPL-3.0-or-later
// Papers: the sheet, the program, the drawing, the job file.
import { useEffect, useState } from 'preact/hooks';
import type { Replay } from './api';
import { fetchFile, replayProgram } from './ask';
import { type Bench, paperText } from './bench';
import { Group } from './fields';
import { valueAt } from './job';
import { useSection } from './wind';

const MOST = 1024 * 1024; // bytes of a program, beside a job

function fileName(bench: Bench, ending: string): string {
    const name = valueAt(bench.job, ['job', 'name']).toLowerCase().replace(/[^a-z0-9]+/g, '-').replace(/^-|-$/g, '');
    return (name || 'coil') + ending;
}

function keep(blob: Blob, name: string): void {
    const url = URL.createObjectURL(blob);
    const link = document.createElement('a');
    link.href = url;
    link.download = name;
    link.click();
    setTimeout(() => URL.revokeObjectURL(url), 10_000);
}

export function Download({ bench, path, ending, label, main, tell }: {
    bench: Bench; path: string; ending: string; label: string; main?: boolean; tell: (what: string) => void;
}) {
    const name = fileName(bench, ending);
    const get = (): void => {
        fetchFile(path, paperText(bench)).then(
            (blob) => { keep(blob, name); tell(`${name} is saved where the browser puts downloads.`); },
            (trouble: Error) => tell(trouble.message));
    };
    return <button type="button" class={main ? 'main' : ''} onClick={get}>{label}</button>;
}

function ProgramText({ bench }: { bench: Bench }) {
    const [text, setText] = useState('');
    const program = bench.answer?.program;
    const key = JSON.stringify(program ?? null);
    useEffect(() => {
        let current = true;
        if (program === undefined || 'error' in program) return undefined;
        fetchFile('/api/program', paperText(bench)).then((b) => b.text()).then((t) => { if (current) setText(t); }, () => undefined);
        return () => { current = false; };
    }, [key]);
    if (program === undefined || 'error' in program) return <p class="calm">{program === undefined ? 'There is no winding yet.' : program.error.text}</p>;
    return (
        <>
            {program.replay !== null && <p>Replayed turn by turn: {program.replay.turns} turns in {program.replay.layers.length} layers, about {Math.ceil(program.replay.time_s / 60)} min and the pauses. {program.replay.ok ? 'It lays the winding of the sheet.' : 'It does not lay this winding.'}</p>}
            <pre class="program" tabIndex={0} aria-label="Winding program">{text}</pre>
        </>
    );
}

/** A program from elsewhere, or one that was changed at the machine: what would it wind? */
function Judge({ bench }: { bench: Bench }) {
    const [found, setFound] = useState<{ name: string; replay: Replay } | string | null>(null);
    const judge = (file: File): void => {
        if (file.size > MOST) setFound(`${file.name} is larger than 1 MB, too large to send here; the command line takes it: coilwright replay.`);
        else void file.text().then((text) => replayProgram(bench.job.text, text)).then(
            (replay) => setFound({ name: file.name, replay }), (trouble: Error) => setFound(trouble.message));
    };
    return (
        <>
            <div class="field narrow"><label for="judge">Judge a program from a file</label>
                <input id="judge" type="file" onChange={(e) => {
                    const file = e.currentTarget.files?.[0];
                    if (file !== undefined) judge(file);
                }} /></div>
            <div role="status">
                {typeof found === 'string' && <p class="doubt">{found}</p>}
                {found !== null && typeof found !== 'string' && (
                    <>
                        <p class="headline">{found.name}: {found.replay.ok ? 'good, it lays this winding.' : 'not good for this winding.'}</p>
                        <p>It lays {found.replay.turns} turns in {found.replay.layers.length} layers.</p>
                        <ul>{found.replay.errors.map((e) => <li class="doubt" key={`${e.line} ${e.text}`}><b>Line {e.line}: </b>{e.text}</li>)}
                            {found.replay.warnings.map((w) => <li key={`${w.line} ${w.text}`}>Line {w.line}: {w.text}</li>)}</ul>
                    </>
                )}
            </div>
        </>
    );
}

/** The sheet as it will be printed, shown by the browser's own reader of PDF. */
function Preview({ bench, path }: { bench: Bench; path: string }) {
    const [sheet, setSheet] = useState<{ url: string; key: string } | null>(null);
    const [why, setWhy] = useState('');
    const text = paperText(bench);
    const key = `${path} ${text}`;
    useEffect(() => {
        let current = true;
        const timer = setTimeout(() => fetchFile(path, text).then(
            (blob) => {
                if (!current) return;
                setSheet((old) => {
                    if (old !== null) URL.revokeObjectURL(old.url);
                    return { url: URL.createObjectURL(blob), key };
                });
                setWhy('');
            },
            (trouble: Error) => { if (current) setWhy(trouble.message); }), 200);
        return () => { current = false; clearTimeout(timer); };
    }, [key]);
    if (why !== '') return <p class="calm">{why}</p>;
    if (sheet === null) return <p class="calm">The sheet is being set.</p>;
    if (!navigator.pdfViewerEnabled) return <p><a href={sheet.url} target="_blank" rel="noopener">Open the sheet</a></p>;
    return (
        <>
            <iframe class="sheet" src={`${sheet.url}#toolbar=0&navpanes=0&view=FitH`} title="The job sheet as it will be printed" />
            <p><a href={sheet.url} target="_blank" rel="noopener">Open it alone, to print</a></p>
        </>
    );
}

export function Papers({ bench }: { bench: Bench }) {
    const [told, tell] = useState('');
    const [date, setDate] = useState('');
    const section = useSection(bench);
    const query = (paper: string): string => `/api/sheet.pdf?paper=${paper}${date === '' ? '' : `&date=${date}`}`;
    const [first, second] = bench.units === 'inch' ? ['letter', 'a4'] as const : ['a4', 'letter'] as const;
    const paperName = { a4: 'A4', letter: 'Letter' };
    const program = bench.answer?.program;
    const programs = program !== undefined && !('error' in program);
    return (
        <div class={bench.stale ? 'stale' : ''}>
            <p class="told" role="status">{told}</p>
            <Group title="Job sheet" about="One to three pages from which anybody can wind and test the coil.">
                <div class="field narrow"><label for="date">Date on the sheet</label>
                    <input id="date" type="date" value={date} onInput={(e) => setDate(e.currentTarget.value)} />
                    <p class="beneath">{date === '' ? 'Without one there is room to write it.' : ''}</p></div>
                <div class="buttons">
                    <Download bench={bench} path={query(first)} ending=".pdf" label={`Sheet on ${paperName[first]}`} main tell={tell} />
                    <Download bench={bench} path={query(second)} ending=".pdf" label={`On ${paperName[second]}`} tell={tell} />
                </div>
                <Preview bench={bench} path={query(first)} />
            </Group>
            <Group title="Winding program">
                {programs && <div class="buttons">
                    <Download bench={bench} path="/api/program" ending=".ngc" label="Program" main tell={tell} />
                    <Download bench={bench} path="/api/program?dry-run=yes" ending="-dry.ngc" label="The same without wire, to prove in air" tell={tell} />
                </div>}
                <ProgramText bench={bench} />
                {programs && program.replay !== null && <Judge bench={bench} />}
            </Group>
            <Group title="Section">
                {section.url !== null
                    ? <figure class="drawing"><img src={section.url} alt="Half section through former and winding, every turn where it lies." /></figure>
                    : <p class="calm">{section.why ?? 'There is no winding yet.'}</p>}
                <div class="buttons"><Download bench={bench} path="/api/section.svg" ending=".svg" label="Drawing" tell={tell} /></div>
            </Group>
            <Group title="Job file" about="Everything that was typed, for the command line or another machine.">
                <div class="buttons"><button type="button" onClick={() => { keep(new Blob([bench.job.text], { type: 'application/yaml' }), fileName(bench, '.yaml')); tell('The job file is saved where the browser puts downloads.'); }}>Job file</button></div>
            </Group>
        </div>
    );
}
