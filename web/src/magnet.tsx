// SPDX-License-Identifier: GPL-3.0-or-later
// The magnet: its flux and its heat to read values from, pull against gap, and what another gap or plate would do.
import { useEffect, useMemo, useState } from 'preact/hooks';
import type { Failure, Field as FieldOf, FieldMap, Heat, HeatMap, MagnetKey, MagnetKeys, TableHead, TableRow } from './api';
import { events, getJson, isFailure } from './ask';
import { type Bench, paperText } from './bench';
import { Curve, valueOn } from './curve';
import { Choose, Field, Group } from './fields';
import { type Path, setValue, valueAt } from './job';
import { MapView } from './map';
import { ampere, force, forceScale, henry, kelvins, lengthScale, ohm, ratio, seconds, share, size, tesla, teslaScale, timeScale, warmth,
    warmthScale, watt } from './units';

const PAUSE_MS = 150;
const SHAPES = [['pot', 'pot, round'], ['plunger', 'plunger, round'], ['u', 'U, straight'], ['e', 'E, straight']] as const;

/* ---- what the server tells, as it is computed ---- */

interface Table { readonly head: TableHead; readonly rows: readonly TableRow[] }
interface Study {
    readonly text: string; // of the job that it is of
    readonly field?: FieldOf | Failure;
    readonly heat?: Heat | Failure;
    readonly flux?: FieldMap | Failure;
    readonly warm?: HeatMap | Failure;
    readonly table?: Table;
    readonly done?: boolean;
    readonly why?: string;
}

function withEvent(study: Study, event: string, data: unknown): Study {
    if (event === 'begun') return { ...study, table: { head: data as TableHead, rows: [] } };
    if (event === 'row') return study.table === undefined ? study
        : { ...study, table: { ...study.table, rows: [...study.table.rows, data as TableRow].sort((a, b) => a.plate_m - b.plate_m) } };
    if (event === 'done') return { ...study, done: true };
    if (event === 'failed') return { ...study, why: 'error' in (data as object) ? (data as Failure).error.text : 'The job is wrong.' };
    return { ...study, [event]: data };
}

let last: Study | null = null; // so that a look elsewhere and back costs nothing

/** A new job starts it anew, and leaving the view ends it on the server too. What was shown stands until then. */
function useStudy(bench: Bench): { study: Study | null; stale: boolean } {
    const text = paperText(bench);
    const ready = bench.outcome !== null;
    const [study, setStudy] = useState<Study | null>(last?.text === text ? last : null);
    useEffect(() => {
        if (!ready || (last?.text === text && last.done)) {
            setStudy((s) => (last?.text === text ? last : s));
            return undefined;
        }
        const leave = new AbortController();
        const fill = async (): Promise<void> => {
            let made: Study = { text };
            for await (const { event, data } of events('/api/magnet/study', text, leave.signal)) {
                made = withEvent(made, event, data);
                if (made.field !== undefined || made.why !== undefined) setStudy(last = made);
            }
        };
        const timer = setTimeout(() => void fill().catch((trouble: Error) => {
            if (!leave.signal.aborted) setStudy({ text, why: trouble instanceof TypeError ? 'The server does not answer.' : trouble.message });
        }), PAUSE_MS);
        return () => {
            clearTimeout(timer);
            leave.abort();
        };
    }, [text, ready]);
    return { study, stale: study !== null && study.text !== text };
}

const there = <T extends object>(part: T | Failure | undefined): T | null => (part === undefined || isFailure(part) ? null : part);
const lacking = (part: object | undefined): string => (part !== undefined && isFailure(part) ? part.error.text : '');

/** A row for any plate between those computed: straight from one to the next. */
function rowAt(table: Table, plate: number): readonly number[] {
    const plates = table.rows.map((r) => r.plate_m);
    return table.head.gaps_m.map((_, g) => valueOn(plates, table.rows.map((r) => r.force_n[g] ?? null), plate) ?? 0);
}

const FINE = 40; // points of the curve between two gaps of the table

/** The curve finely: the logarithm of the pull runs straight between two gaps, close enough for the eye. */
function finely(gaps: readonly number[], pulls: readonly number[]): { x: number[]; y: number[] } {
    const x: number[] = [];
    const logs = pulls.map((p) => Math.log(Math.max(p, 1e-9)));
    for (let i = 0; i + 1 < gaps.length; i++)
        for (let k = 0; k < FINE; k++) x.push((gaps[i] ?? 0) + (((gaps[i + 1] ?? 0) - (gaps[i] ?? 0)) * k) / FINE);
    x.push(gaps[gaps.length - 1] ?? 0);
    return { x, y: x.map((v) => Math.exp(valueOn(gaps, logs, v) ?? 0)) };
}

function Sliders({ bench, table, part, needed }: { bench: Bench; table: Table; part: number; needed: number | null }) {
    const { head } = table;
    const u = bench.units;
    const [gap, setGap] = useState(head.gap_m);
    const [plate, setPlate] = useState(head.plate_m);
    useEffect(() => { setGap(head.gap_m); setPlate(head.plate_m); }, [head.gap_m, head.plate_m]);
    const [least, most] = [head.gaps_m[0] ?? 0, head.gaps_m[head.gaps_m.length - 1] ?? 1];
    const plates = table.rows.map((r) => r.plate_m);
    const [thin, thick] = [plates[0] ?? 0, plates[plates.length - 1] ?? 0];
    const curve = useMemo(() => finely(head.gaps_m, rowAt(table, plate)), [table, plate]);
    const pull = valueOn(curve.x, curve.y, gap);
    const slide = (v: string): number => least * (most / least) ** (Number(v) / 1000);
    return (
        <Group title="Pull against gap" about="Warm, at the current of this winding. The sliders ask what another gap or plate would do; the job stays as it is.">
            <div class="sliders">
                <div class="field"><label for="gap">Gap <b>{size(gap, u, 3)}</b></label>
                    <input id="gap" type="range" min="0" max="1000" value={Math.round((1000 * Math.log(gap / least)) / Math.log(most / least))}
                        aria-valuetext={size(gap, u)} onInput={(e) => setGap(slide(e.currentTarget.value))} /></div>
                {head.plate_m > 0 && <div class="field"><label for="plate">Plate <b>{size(plate, u, 3)}</b></label>
                    <input id="plate" type="range" min="0" max="1000" disabled={thick <= thin} value={thick > thin ? Math.round((1000 * (plate - thin)) / (thick - thin)) : 500}
                        aria-valuetext={size(plate, u)} onInput={(e) => setPlate(thin + ((thick - thin) * Number(e.currentTarget.value)) / 1000)} /></div>}
                <p class="slider-answer" role="status"><b>{force(pull, u)}</b>
                    {needed !== null && pull !== null && <span class={pull >= needed ? 'enough' : 'short'}>{pull >= needed ? `${ratio(pull / needed)} of what is asked for` : `too little: ${force(needed, u)} is asked for`}</span>}</p>
            </div>
            {part < 1 && <p class="calm"><progress max="1" value={part} aria-label="Plates computed" /> plates computed: {table.rows.length} of {head.rows}</p>}
            <Curve title="Pull against gap" x={curve.x} series={[{ name: 'pull', y: curve.y, tone: 'blue' }]} xName="gap on each face" xScale={lengthScale(u)} yScale={forceScale(Math.max(...curve.y), u)}
                showX={(v) => size(v, u, 3)} showY={(v) => force(v, u)} dot={pull === null ? undefined : { x: gap, y: pull }}
                level={needed === null ? undefined : { at: needed, name: 'asked for' }} marks={[{ at: head.gap_m, name: 'this job' }]} />
        </Group>
    );
}

/* ---- what was computed ---- */

const MOST_T = 2.2; // of the colours: corners peak without meaning

function Figures({ bench, field }: { bench: Bench; field: FieldOf }) {
    const u = bench.units;
    const full = field.parts.find((p) => p.name === field.saturates_first);
    return (
        <section class="group">
            <h2>Pull</h2>
            <p class="headline">{force(field.force_n, u)} warm, {force(field.cold.force_n, u)} cold, at a gap of {size(field.gap_m, u)}</p>
            {field.pull_needed_n !== null && field.force_n < field.pull_needed_n &&
                <p class="doubt"><b>Too little: </b>{force(field.pull_needed_n, u)} is asked for.</p>}
            <dl class="figures">
                {field.pull_needed_n !== null && <div><dt>Asked for</dt><dd>{force(field.pull_needed_n, u)} <small>{ratio(field.force_n / field.pull_needed_n)} of it is there, warm</small></dd></div>}
                <div><dt>Ampere-turns, warm</dt><dd>{Math.round(field.ampere_turns)} A <small>{ampere(field.current_a)} through each coil</small></dd></div>
                <div><dt>Inductance</dt><dd>{henry(field.inductance_h)} <small>{henry(field.incremental_inductance_h)} for small changes</small></dd></div>
                {full !== undefined && <div><dt>Fills first</dt><dd>{full.name} <small>{tesla(full.density_t)}, {share(full.saturation)} of saturation</small></dd></div>}
                <div><dt>Good to</dt><dd>{(100 * field.error_estimate).toFixed(1)} % <small>by the mesh; the iron itself is less sure</small></dd></div>
            </dl>
        </section>
    );
}

function HeatFigures({ bench, heat }: { bench: Bench; heat: Heat }) {
    const u = bench.units;
    return (
        <section class="group">
            <h2>Heat</h2>
            <p class="headline">Hot spot {warmth(heat.hot_spot_c, u)}{heat.duty !== null && ' by its duty'}{heat.margin_k !== null && (heat.margin_k >= 0 ? `, ${kelvins(heat.margin_k, u)} to spare` : `, ${kelvins(-heat.margin_k, u)} too hot`)}</p>
            <dl class="figures">
                <div><dt>Always on</dt><dd>{warmth(heat.hot_spot_continuous_c, u)} <small>good to {kelvins(heat.hot_spot_doubt_k, u)}</small></dd></div>
                <div><dt>Mean of the winding</dt><dd>{warmth(heat.mean_winding_c, u)}</dd></div>
                <div><dt>A hand touches</dt><dd>{warmth(heat.surface_c, u)} <small>always on</small></dd></div>
                <div><dt>Hot</dt><dd>{watt(heat.power_w)} <small>{ohm(heat.resistance_hot_ohm)}</small></dd></div>
                <div><dt>Time constant</dt><dd>{seconds(heat.time_constant_s)} <small>63 % of the rise</small></dd></div>
                {heat.longest_on_s !== null && <div><dt>Longest on, from cold</dt><dd>{seconds(heat.longest_on_s)}</dd></div>}
            </dl>
            {heat.remark !== '' && <p class="about">{heat.remark}</p>}
            {heat.curve.length > 1 && <Curve title={heat.duty === null ? 'Warming up, always on' : 'Warming up by its duty'} x={heat.curve.map((p) => p.time_s ?? 0)}
                series={[{ name: 'hot spot', y: heat.curve.map((p) => p.hot_spot_c), tone: 'orange' }, { name: 'mean', y: heat.curve.map((p) => p.mean_winding_c), tone: 'blue' }, { name: 'surface', y: heat.curve.map((p) => p.surface_c), tone: 'grey' }]}
                xName="time" xScale={timeScale(heat.curve[heat.curve.length - 1]?.time_s ?? 1)} yScale={warmthScale(u)} showX={(v) => seconds(v)} showY={(v) => warmth(v, u)} fromZero={false}
                level={heat.thermal_class === null ? undefined : { at: heat.thermal_class, name: 'class' }} />}
        </section>
    );
}

function FluxMap({ bench, flux }: { bench: Bench; flux: FieldMap }) {
    const { density_t: density, flux_wb: lines, parts } = flux;
    return (
        <section class="group">
            <MapView title="Flux density and flux lines" values={density} flux={lines} parts={parts} ramp="flux" scale={teslaScale}
                most={Math.min(MOST_T, density.low + density.step * density.values.reduce((a, b) => Math.max(a, b), 0))} show={(v) => (v === null ? '–' : `${v.toFixed(2)} T`)} units={bench.units} />
        </section>
    );
}

function WarmMap({ bench, warm }: { bench: Bench; warm: HeatMap }) {
    return (
        <section class="group">
            <MapView title="Temperature, always on" values={warm.temperature_c} parts={warm.parts} ramp="heat" scale={warmthScale(bench.units)}
                show={(v) => warmth(v, bench.units)} units={bench.units} />
        </section>
    );
}

/* ---- what it is made of ---- */

function KeyField({ bench, item, irons }: { bench: Bench; item: MagnetKey; irons: readonly string[] }) {
    const path: Path = ['magnet', ...item.name.split('.')];
    const words = item.name.replace('.', ' ').replaceAll('_', ' ');
    const label = `${words.charAt(0).toUpperCase()}${words.slice(1)}${item.needed ? '' : ', if any'}`;
    const example = (bench.units === 'inch' ? item.inch : null) ?? item.metric;
    if (item.type === 'iron') return <Choose bench={bench} path={path} label={label} none="not said" options={irons.map((i) => [i, i.replaceAll('-', ' ')] as const)} note={item.about} />;
    if (item.type === 'face') return <Choose bench={bench} path={path} label={label} none="not said" options={['ground', 'machined', 'blasted', 'painted', 'scaled'].map((f) => [f, f] as const)} note={item.about} />;
    if (item.type === 'yes or no') return <Choose bench={bench} path={path} label={label} none="no" options={[['yes', 'yes'], ['no', 'no']]} note={item.about} />;
    return <Field bench={bench} path={path} label={label} example={example} note={item.about} />;
}

/** Only the keys that the shape has; what they mean stands beneath each. */
function Dimensions({ bench }: { bench: Bench }) {
    const [keys, setKeys] = useState<MagnetKeys | null>(null);
    useEffect(() => { getJson<MagnetKeys>('/api/magnet').then(setKeys, () => undefined); }, []);
    const shape = valueAt(bench.job, ['magnet', 'shape']);
    const own = keys?.keys.filter((k) => k.name !== 'shape' && k.shapes.includes(shape)) ?? [];
    const asked = own.filter((k) => k.needed || valueAt(bench.job, ['magnet', ...k.name.split('.')]) !== '' || /gap|pull|plate/.test(k.name));
    const [all, setAll] = useState(false);
    return (
        <Group title="What it is made of" about="Of the iron, not of the coil: that is laid already.">
            <form class="grid" onSubmit={(e) => e.preventDefault()}>
                <div class="field"><label for="magnet-shape">Shape</label>
                    <select id="magnet-shape" value={shape} onChange={(e) => bench.change(setValue(bench.job, ['magnet', 'shape'], e.currentTarget.value))}>
                        <option value="">not said</option>{SHAPES.map(([word, name]) => <option value={word} key={word}>{name}</option>)}
                    </select><p class="beneath" /></div>
                {(all ? own : asked).map((k) => <KeyField bench={bench} item={k} irons={keys?.irons ?? []} key={k.name + k.metric} />)}
            </form>
            {own.length > asked.length && !all && <div class="buttons"><button type="button" class="quiet" onClick={() => setAll(true)}>Show what else it may have</button></div>}
        </Group>
    );
}

export function Magnet({ bench }: { bench: Bench }) {
    const { study, stale } = useStudy(bench);
    const [field, heat, flux, warm] = [there(study?.field), there(study?.heat), there(study?.flux), there(study?.warm)];
    const table = study?.table;
    const why = study?.why ?? lacking(study?.field);
    return (
        <>
            {study === null && <p class="calm">The field is being computed.</p>}
            <div class={stale ? 'stale' : ''}>
                {why !== '' && <section class="group"><h2>Pull</h2><p class="calm">{why}</p></section>}
                {field !== null && <Figures bench={bench} field={field} />}
                <div class="pair">
                    {table !== undefined && table.rows.length > 0 && field !== null && <Sliders bench={bench} table={table} part={table.rows.length / table.head.rows} needed={field.pull_needed_n} />}
                    {flux !== null && <FluxMap bench={bench} flux={flux} />}
                </div>
                <div class="pair">
                    {heat !== null && <HeatFigures bench={bench} heat={heat} />}
                    {warm !== null && <WarmMap bench={bench} warm={warm} />}
                </div>
                {lacking(study?.heat) !== '' && <section class="group"><h2>Heat</h2><p class="calm">{lacking(study?.heat)}</p></section>}
            </div>
            <Dimensions bench={bench} />
        </>
    );
}
