// SPDX-License-Identifier: GPL-3.0-or-later
// What to wind: ranked options and the section, which a narrow screen has first; wishes, the shelf and the machine beside.
import { useEffect, useState } from 'preact/hooks';
import type { Choice, Option, Shelf } from './api';
import { fetchFile, getJson } from './ask';
import { type Bench, paperText } from './bench';
import { Choose, Field, Group } from './fields';
import { addItem, clearList, lengthAt, readJob, removeItem, setValue, valueAt } from './job';
import { stockItem } from './shelf';
import { count, mass, ohm, ratio, run, share, size, warmth, watt, wire } from './units';

/** "same ± 5 %" as its parts; another wish is left to its field. */
function toleranceOf(text: string): number | null {
    const found = /^(?:same)?\s*(?:(?:±|\+\/-)\s*([0-9.]+)\s*%)?$/.exec(text.trim());
    return found === null ? null : Number(found[1] ?? 5);
}

function Tolerance({ bench }: { bench: Bench }) {
    const path = ['wanted', 'resistance'];
    const tolerance = toleranceOf(valueAt(bench.job, path));
    if (tolerance === null) return null;
    return (
        <div class="field">
            <label for="tolerance">Same resistance, give or take {tolerance} %</label>
            <input id="tolerance" type="range" min="1" max="20" step="0.5" value={tolerance}
                onInput={(e) => bench.change(setValue(bench.job, path, `same ± ${e.currentTarget.value} %`))} />
            <p class="beneath" />
        </div>
    );
}

const CLASSES = ['105', '120', '130', '155', '180', '200', '220'] as const;
const classes = CLASSES.map((c) => [c, `${c} °C`] as const);
const BUILDS = [['single', 'single, grade 1'], ['heavy', 'heavy, grade 2'], ['triple', 'triple, grade 3'],
    ['single cotton', 'single cotton'], ['double cotton', 'double cotton'], ['single silk', 'single silk'],
    ['double silk', 'double silk'], ['grade 1', 'grade 1'], ['grade 2', 'grade 2'], ['grade 3', 'grade 3']] as const;

/** A spool as it is written in a job. */
export function SpoolFields({ bench, index }: { bench: Bench; index: number }) {
    const at = (key: string) => ['stock', index, key];
    const inch = bench.units === 'inch';
    return (
            <div class="grid tight">
                <Field bench={bench} path={at('wire')} label="Wire" example={inch ? '29 AWG' : '0.280 mm'} />
                <Choose bench={bench} path={at('build')} label="Covering" options={BUILDS} />
                <Choose bench={bench} path={at('thermal_class')} label="Class" none="not known" options={classes} />
                <Field bench={bench} path={at('on_spool')} label="Left on it" example={inch ? '1 lb' : '500 g'} />
                <Field bench={bench} path={at('price')} label="Price" example="21.00" />
            </div>
    );
}

function Spool({ bench, index }: { bench: Bench; index: number }) {
    const name = valueAt(bench.job, ['stock', index, 'wire']) || 'a spool';
    return (
        <li class="spool">
            <SpoolFields bench={bench} index={index} />
            <button type="button" class="quiet" onClick={() => bench.change(removeItem(bench.job, 'stock', index))}
                aria-label={`Take off the shelf: ${name}`}>Take off the shelf</button>
        </li>
    );
}

/** Puts what lies on the book's shelf in place of the job's list. */
function FromShelf({ bench }: { bench: Bench }) {
    const [told, tell] = useState('');
    const take = (): void => {
        getJson<Shelf>('/api/book/shelf').then(({ spools }) => {
            const left = spools.filter((s) => (s.left_m ?? 0) > 1);
            const text = left.reduce((job, s) => addItem(readJob(job), 'stock', stockItem(s)), clearList(bench.job, 'stock'));
            bench.change(text);
            tell(left.length === 0 ? 'The shelf is empty.' : `${left.length} ${left.length === 1 ? 'spool' : 'spools'} taken over; Undo brings back what stood here.`);
        }, (trouble: Error) => tell(trouble.message));
    };
    return <><button type="button" onClick={take}>As on the shelf of the book</button><p class="beneath" role="status">{told}</p></>;
}

function Wishes({ bench }: { bench: Bench }) {
    const stock = lengthAt(bench.job, ['stock']);
    const kind = valueAt(bench.job, ['machine', 'kind']);
    const coded = kind === '' || ['lathe-thread', 'lathe-feed', 'rotary-winder'].includes(kind);
    return (
        <form onSubmit={(e) => e.preventDefault()}>
            <Group title="Wishes">
                <Tolerance bench={bench} />
                <div class="grid">
                    <Field bench={bench} path={['wanted', 'resistance']} label="Resistance at 20 °C" example="same ± 5 %, or 86 ohm" />
                    <Field bench={bench} path={['wanted', 'ampere_turns']} label="Ampere-turns" example="same, or at least 900" />
                    <Choose bench={bench} path={['wanted', 'thermal_class']} label="Thermal class" none="as usual" options={classes} />
                    <Choose bench={bench} path={['wanted', 'prefer']} label="Rather" none="a balance" options={[['shelf', 'what is on the shelf'], ['match', 'the nearest, whatever must be bought'], ['balance', 'a balance']]} />
                    <Field bench={bench} path={['wanted', 'wire']} label="Only this size" example={bench.units === 'inch' ? '29 AWG' : '0.280 mm'} />
                    <Choose bench={bench} path={['wanted', 'lay']} label="Lay" none="as usual" options={[['level', 'level'], ['nested', 'nested'], ['random', 'random']]} />
                </div>
            </Group>
            <Group title="On the shelf" about="Wire that is there comes before wire to be bought.">
                <ol class="spools">{Array.from({ length: stock }, (_, i) => <Spool bench={bench} index={i} key={i} />)}</ol>
                <button type="button" onClick={() => bench.change(addItem(bench.job, 'stock', { wire: '', build: bench.units === 'inch' ? 'heavy' : 'grade 2' }))}>
                    <span aria-hidden="true">+ </span>Add a spool</button>
                {bench.book && <FromShelf bench={bench} />}
            </Group>
            <Group title="Wound on">
                <div class="grid">
                    <Choose bench={bench} path={['machine', 'kind']} label="Machine" none="not said" options={[['lathe-thread', 'lathe, threading'], ['lathe-feed', 'lathe, feed per turn'], ['rotary-winder', 'rotary axis'], ['manual-lathe', 'manual lathe'], ['hand', 'by hand']]} />
                    {kind !== '' && coded && <Choose bench={bench} path={['machine', 'code']} label="Its words" none="usual" options={[['g33-k', 'G33 with K'], ['g32-f', 'G32 with F'], ['g33-f', 'G33 with F'], ['g95', 'G95'], ['g99', 'G99'], ['rotary-a', 'rotary A']]} />}
                    {kind !== '' && <Choose bench={bench} path={['machine', 'units']} label="Program in" none="millimetres" options={[['mm', 'millimetres'], ['inch', 'inches']]} />}
                    {kind !== '' && <Field bench={bench} path={['machine', 'speed']} label="Speed" example="60 rpm" />}
                    {kind !== '' && <Field bench={bench} path={['machine', 'slow_speed']} label="Slow speed" example="20 rpm" />}
                </div>
            </Group>
        </form>
    );
}

/** A drawing of the job, made anew when `key` has changed; the old one stands until then. null: there is none. */
export function useDrawing(bench: Bench, path: string, key: string | null): { url: string | null; why: string | null } {
    const [url, setUrl] = useState<string | null>(null);
    const [why, setWhy] = useState<string | null>(null);
    useEffect(() => {
        let current = true;
        if (key === null) {
            setUrl(null);
            setWhy(null);
            return undefined;
        }
        fetchFile(path, paperText(bench)).then(
            (blob) => {
                if (!current) return;
                setUrl((old) => {
                    if (old !== null) URL.revokeObjectURL(old);
                    return URL.createObjectURL(blob);
                });
                setWhy(null);
            },
            (trouble: Error) => { if (current) setWhy(trouble.message); });
        return () => { current = false; };
    }, [path, key]);
    return { url, why };
}

export function useSection(bench: Bench): { url: string | null; why: string | null } {
    const lay = bench.answer?.lay;
    const none = lay === undefined || 'error' in lay;
    const { url, why } = useDrawing(bench, '/api/section.svg', none ? null : JSON.stringify([lay, bench.units]));
    return { url, why: lay !== undefined && 'error' in lay ? lay.error.text : why };
}

const OWN_CHOICE = ['wanted', 'option'];

function Best({ bench, option, chosen }: { bench: Bench; option: Option; chosen: boolean }) {
    const u = bench.units;
    const own = valueAt(bench.job, OWN_CHOICE) !== '';
    return (
        <section class="group best-option">
            <h2>{own ? 'Your own choice' : chosen ? 'Wind this' : 'Nothing keeps every wish; nearest comes this'}</h2>
            <p class="headline">{count(option.turns)} turns of {wire(option)}</p>
            {option.missed.map((m) => <p class="doubt" key={m}><b>Missed: </b>{m}</p>)}
            <dl class="figures">
                <div><dt>Layers</dt><dd>{option.layers}</dd></div>
                <div><dt>At 20 °C</dt><dd>{ohm(option.resistance_20c_ohm)}</dd></div>
                <div><dt>Fits</dt><dd>{share(option.fits_probability)}</dd></div>
                <div><dt>Depth to spare</dt><dd>{size(option.spare_m, u)}</dd></div>
                <div><dt>Ampere-turns</dt><dd>{ratio(option.ampere_turns_ratio)} <small>of the original</small></dd></div>
                <div><dt>Hot</dt><dd>{watt(option.power_w)} <small>spot {warmth(option.hot_spot_c, u)} of {warmth(option.limit_c, u)}</small></dd></div>
                <div><dt>Have ready</dt><dd>{mass(option.wire_mass_kg, u)} <small>{run(option.wire_length_m, u)}</small></dd></div>
                <div><dt>Shelf</dt><dd>{option.from_stock ? 'enough' : option.on_shelf ? 'some, not enough' : 'none'}</dd></div>
            </dl>
            <ul class="reasons">{option.reasons.map((r, i) => <li class={i < option.drawbacks ? 'but' : 'for'} key={r}>
                <b>{i < option.drawbacks ? 'But' : 'For'}</b> {r}</li>)}</ul>
            {own && <div class="buttons"><button type="button" onClick={() => bench.change(setValue(bench.job, OWN_CHOICE, ''))}>Back to what comes first</button></div>}
        </section>
    );
}

function Others({ bench, choice }: { bench: Bench; choice: Choice }) {
    return (
        <section class="group">
            <h2>Next in rank</h2>
            <p class="about">Press one to wind it instead.</p>
            <div class="scroll" tabIndex={0} role="region" aria-label="Other options">
                <table>
                    <thead><tr><th scope="col">Wire</th><th scope="col">Turns</th><th scope="col">Layers</th><th scope="col">Fits</th><th scope="col">At 20 °C</th><th scope="col">Pull</th><th scope="col">Hot spot</th><th scope="col">Shelf</th></tr></thead>
                    <tbody>{choice.options.filter((o) => o.id !== (choice.chosen ?? choice.options[0]?.id)).slice(0, 10).map((o) => (
                        <tr key={o.id}><th scope="row"><button type="button" class="quiet" onClick={() => bench.change(setValue(bench.job, OWN_CHOICE, o.id))}>{wire(o)}</button></th><td>{o.turns}</td><td>{o.layers}</td><td>{share(o.fits_probability)}</td>
                            <td>{ohm(o.resistance_20c_ohm)}</td><td>{ratio(o.ampere_turns_ratio)}</td><td>{warmth(o.hot_spot_c, bench.units)}</td>
                            <td>{o.from_stock ? 'enough' : o.on_shelf ? 'some' : 'none'}</td></tr>))}</tbody>
                </table>
            </div>
        </section>
    );
}

export function Wind({ bench }: { bench: Bench }) {
    const section = useSection(bench);
    const choose = bench.answer?.choose;
    const best = choose !== undefined && !('error' in choose)
        ? choose.options.find((o) => o.id === choose.chosen) ?? choose.options[0] : undefined;
    return (
        <div class="split">
            <div class={bench.stale ? 'stale' : ''}>
                {choose === undefined || 'error' in choose || best === undefined
                    ? <section class="group"><h2>What to wind</h2><p class="calm">{choose === undefined ? 'There is no answer yet: enter what came in.'
                        : 'error' in choose ? choose.error.text : choose.summary}</p></section>
                    : <Best bench={bench} option={best} chosen={choose.chosen !== null} />}
                {section.url !== null && best !== undefined && (
                    <figure class="group drawing">
                        <img src={section.url} alt="Half section through former and winding, every turn where it lies." />
                        <figcaption>Half section, to scale: blue layers lead away from the start flange, orange ones back.</figcaption>
                    </figure>
                )}
                {section.url === null && section.why !== null && <p class="notice">{section.why}</p>}
                {choose !== undefined && !('error' in choose) && choose.options.length > 1 && <Others bench={bench} choice={choose} />}
            </div>
            <Wishes bench={bench} />
        </div>
    );
}
