// SPDX-License-Identifier: GPL-3.0-or-later
// What came in: the window, the readings as people write them, what the eye sees, the supply.
import { useRef } from 'preact/hooks';
import { type Bench, looseMistakes } from './bench';
import { Choose, Field, Group, PairField } from './fields';
import { addItem, lengthAt, removeItem, setValue, valueAt } from './job';
import { Glance, Verdict } from './verdict';

type Extra = 'of' | 'at' | 'length' | 'current' | 'frequency' | 'lead_resistance';

interface Kind {
    readonly word: string;
    readonly name: string;
    readonly how: string;
    readonly metric: string;
    readonly inch?: string;
    readonly extras: readonly Extra[];
    readonly fixed?: Readonly<Record<string, string>>;
}

/** In the order in which a bench takes them: what costs least first. */
export const KINDS: readonly Kind[] = [
    { word: 'coil-resistance', name: 'Resistance of a coil', how: 'Of a sound sibling if there is one. Write open where it is.', metric: '84.2 ohm', extras: ['of', 'at', 'lead_resistance'] },
    { word: 'bare-diameter', name: 'Bare wire', how: 'Micrometer, covering off, mean of several places.', metric: '0.287 mm', inch: '0.0113 in', extras: [] },
    { word: 'overall-diameter', name: 'Wire over its covering', how: 'Micrometer, mean of several places.', metric: '0.331 mm', inch: '0.0130 in', extras: [] },
    { word: 'sample-resistance', name: 'Resistance of a piece of wire', how: 'Ends scraped, well over a metre, meter leads zeroed.', metric: '0.803 ohm', extras: ['length', 'at', 'lead_resistance'] },
    { word: 'sample-mass', name: 'Mass of a piece of wire', how: 'Covering on.', metric: '1.79 g', inch: '0.063 oz', extras: ['length'] },
    { word: 'wire-mass', name: 'Mass of all the wire', how: 'Covering on, no resin.', metric: '186 g', inch: '6.56 oz', extras: [] },
    { word: 'turns', name: 'Turns', how: 'Counted while unwinding.', metric: '1850', extras: [] },
    { word: 'turns-per-layer', name: 'Turns in a layer', how: 'Counted along one full layer.', metric: '168', extras: [] },
    { word: 'layers', name: 'Layers', how: 'Counted on the cut or while unwinding.', metric: '11', extras: [] },
    { word: 'winding-depth', name: 'Depth of the winding', how: 'Height of the wire alone.', metric: '3.4 mm', inch: '0.134 in', extras: [] },
    { word: 'rated-power', name: 'Power on the plate', how: 'Hot, unless a temperature is given.', metric: '95 W', extras: ['at'] },
    { word: 'rated-current', name: 'Current on the plate', how: 'Hot, unless a temperature is given.', metric: '1.0 A', extras: ['at'] },
    { word: 'inductance', name: 'Inductance, core out', how: 'Far from iron.', metric: '0.21 H', extras: ['frequency'], fixed: { core: 'out' } },
    { word: 'centre-field', name: 'Field in the empty middle', how: 'Core out, at a known current.', metric: '3.1 mT', extras: ['current'], fixed: { core: 'out' } },
    { word: 'core-section', name: 'Section of the iron', how: 'For coils on ac.', metric: '4 cm2', inch: '0.62 in2', extras: [] },
    { word: 'insulation-resistance', name: 'Winding to core', how: 'Tells a fault, not a winding.', metric: '100 Mohm', extras: [] },
];

const EXTRA: Readonly<Record<Exclude<Extra, 'of'>, readonly [string, string, string]>> = {
    at: ['at', '24 °C', '75 °F'],
    length: ['for a length of', '3 m', '10 ft'],
    current: ['at a current of', '50 mA', '50 mA'],
    frequency: ['meter works at', '120 Hz', '120 Hz'],
    lead_resistance: ['meter leads alone', '0.2 ohm', '0.2 ohm'],
};

function beneathReading(bench: Bench, index: number): { text: string; wrong: boolean } {
    const mistake = bench.outcome?.mistakes.find((m) => m.path[0] === 'readings' && m.path[1] === index);
    if (valueAt(bench.job, ['readings', index, 'value']) === '') return { text: 'Not read yet; counts once it is.', wrong: false };
    if (mistake !== undefined) return { text: mistake.text, wrong: true };
    return { text: bench.outcome?.understood.get(index) ?? '', wrong: false };
}

function Reading({ bench, index }: { bench: Bench; index: number }) {
    const word = valueAt(bench.job, ['readings', index, 'kind']);
    const kind = KINDS.find((k) => k.word === word);
    const name = kind?.name ?? word;
    const id = `reading-${index}`;
    const beneath = beneathReading(bench, index);
    const doubtIndex = bench.outcome?.indices['readings']?.indexOf(index) ?? -1;
    const identify = bench.outcome?.answer?.identify;
    const doubt = identify !== undefined && !('error' in identify) && doubtIndex >= 0
        ? identify.doubts.find((d) => d.reading === doubtIndex)?.text : undefined;
    const set = (key: string, value: string): void => bench.change(setValue(bench.job, ['readings', index, key], value));
    const inch = bench.units === 'inch';
    return (
        <li class="reading">
            <div class="reading-head">
                <label for={id}>{name}</label>
                <button type="button" class="quiet" aria-label={`Drop: ${name}`}
                    onClick={() => bench.change(removeItem(bench.job, 'readings', index))}>Drop</button>
            </div>
            <div class="reading-row">
                <input id={id} class="value" type="text" autocomplete="off" spellcheck={false}
                    value={valueAt(bench.job, ['readings', index, 'value'])}
                    placeholder={`as in ${(inch ? kind?.inch : undefined) ?? kind?.metric ?? ''}`}
                    aria-invalid={beneath.wrong} aria-describedby={`${id}-how ${id}-beneath`}
                    onInput={(e) => set('value', e.currentTarget.value)} />
                {kind?.extras.map((extra) => extra === 'of' ? (
                    <label class="extra" key={extra}>
                        <span>of</span>
                        <select value={valueAt(bench.job, ['readings', index, 'of']) || 'this'}
                            onChange={(e) => set('of', e.currentTarget.value)}>
                            <option value="this">this coil</option>
                            <option value="sibling">a sound sibling</option>
                        </select>
                    </label>
                ) : (
                    <label class="extra" key={extra}>
                        <span>{EXTRA[extra][0]}</span>
                        <input type="text" autocomplete="off" spellcheck={false} placeholder={EXTRA[extra][inch ? 2 : 1]}
                            value={valueAt(bench.job, ['readings', index, extra])}
                            onInput={(e) => set(extra, e.currentTarget.value)} />
                    </label>
                ))}
            </div>
            <p class={`beneath ${beneath.wrong ? 'wrong' : ''}`} id={`${id}-beneath`}>
                {beneath.wrong && <b>Not so: </b>}{beneath.text !== '' && !beneath.wrong && <span class="mark" aria-hidden="true">=</span>} {beneath.text}
            </p>
            {doubt !== undefined && <p class="beneath doubt"><b>Doubtful: </b>{doubt}</p>}
            <p class="how" id={`${id}-how`}>{kind?.how ?? ''}</p>
        </li>
    );
}

function Readings({ bench }: { bench: Bench }) {
    const list = useRef<HTMLOListElement>(null);
    const count = lengthAt(bench.job, ['readings']);
    const add = (word: string): void => {
        const kind = KINDS.find((k) => k.word === word);
        bench.change(addItem(bench.job, 'readings', {
            kind: word, ...(word === 'coil-resistance' ? { of: 'sibling' } : {}), value: '', ...kind?.fixed,
        }));
        requestAnimationFrame(() => list.current?.querySelector<HTMLInputElement>('li:last-child input.value')?.focus());
    };
    const next = bench.answer !== null && !('error' in bench.answer.identify) ? bench.answer.identify.next_readings[0]?.kind : undefined;
    return (
        <Group title="Readings" about="As written on the slip, with its unit: 84.2 ohm, 6 oz, 0.0131 in, 3 1/2 in. How good it is may follow: ± 0.5 %.">
            <ol class="readings" ref={list}>
                {Array.from({ length: count }, (_, i) => <Reading bench={bench} index={i} key={i} />)}
            </ol>
            <h3 id="add-reading">Add a reading</h3>
            <div class="chips" role="group" aria-labelledby="add-reading">
                {KINDS.map((k) => (
                    <button type="button" class={`chip ${k.word === next ? 'best' : ''}`} key={k.word} onClick={() => add(k.word)}>
                        <span aria-hidden="true">+ </span>{k.name}{k.word === next && <span class="best-word"> (tells most now)</span>}
                    </button>
                ))}
            </div>
        </Group>
    );
}

/** Which lengths are meant. */
function WindowSketch() {
    return (
        <svg class="sketch" viewBox="0 0 210 120" role="img" aria-label="Half section of the former: inner is the diameter the first layer lies on, length runs along the axis between the flanges, depth is the height the wire may fill.">
            <path class="solid" d="M18 14h8v58h158V14h8v66H18z" />
            <path class="fill" d="M28 32h154v38H28z" />
            <path class="axis" d="M6 106h198" />
            <path class="line" d="M28 24h154M28 20v8M182 20v8M200 32v38M196 32h8M196 70h8M70 80v26M66 80h8" />
            <text x="105" y="18" text-anchor="middle">length</text>
            <text x="105" y="55" text-anchor="middle">depth of wire</text>
            <text x="78" y="97">half of inner</text>
        </svg>
    );
}

function Window({ bench }: { bench: Bench }) {
    const round = ['', 'round'].includes(valueAt(bench.job, ['window', 'shape']));
    const understood = bench.outcome?.answer?.job.window ?? {};
    const inch = bench.units === 'inch';
    return (
        <Group title="Window" about="The room the wire itself may take, inside flanges and wrapping.">
            <div class="with-sketch">
                <div class="grid">
                    <Choose bench={bench} path={['window', 'shape']} label="Shape" none="round" options={[['rectangle', 'rectangle'], ['obround', 'obround (two straights, two half rounds)'], ['round', 'round']]} />
                    {round
                        ? <Field bench={bench} path={['window', 'inner']} label="Inner diameter" example={inch ? '1.65 in' : '42 mm'} note={understood.inner} />
                        : <PairField bench={bench} path={['window', 'inner_size']} labels={['Inner width', 'Inner breadth']} examples={inch ? ['2 in', '1 1/4 in'] : ['50 mm', '30 mm']} notes={[understood.width, understood.breadth]} />}
                    {valueAt(bench.job, ['window', 'shape']) === 'rectangle' &&
                        <Field bench={bench} path={['window', 'corner_radius']} label="Corner radius" example={inch ? '1/8 in' : '3 mm'} note={understood.corner_radius} />}
                    <Field bench={bench} path={['window', 'length']} label="Length between flanges" example={inch ? '2.28 in' : '58 mm'} note={understood.length} />
                    <Field bench={bench} path={['window', 'depth']} label="Depth for wire" example={inch ? '0.51 in' : '13 mm'} note={understood.depth} />
                </div>
                {round && <WindowSketch />}
            </div>
        </Group>
    );
}

function Seen({ bench }: { bench: Bench }) {
    return (
        <Group title="What the eye sees" about="Only what is certain. Each narrows the answer.">
            <div class="grid">
                <Choose bench={bench} path={['seen', 'material']} label="Scraped, the wire is" none="not looked at" options={[['copper', 'red: copper'], ['aluminium', 'white: aluminium']]} />
                <Choose bench={bench} path={['seen', 'maker']} label="The maker bought wire in" none="not known" options={[['metric', 'metric sizes'], ['awg', 'AWG'], ['swg', 'SWG']]} />
                <Choose bench={bench} path={['seen', 'in_hand']} label="Wires wound together" none="not known" options={[['1', 'one'], ['2', 'two'], ['3', 'three'], ['4', 'four']]} />
                <Choose bench={bench} path={['seen', 'lay']} label="The turns lie" none="not known" options={[['level', 'level, crossing'], ['nested', 'in each other\'s grooves'], ['random', 'at random']]} />
            </div>
        </Group>
    );
}

function Supply({ bench }: { bench: Bench }) {
    const kind = valueAt(bench.job, ['supply', 'kind']);
    return (
        <Group title="Supply" about="What the coil is connected to. Without it heat and pull stay unknown.">
            <div class="grid">
                <Choose bench={bench} path={['supply', 'kind']} label="Supply" none="not known" options={[['dc', 'dc'], ['full-wave', 'full-wave rectifier'], ['half-wave', 'half-wave rectifier'], ['ac', 'ac']]} />
                <Field bench={bench} path={['supply', 'voltage']} label="Voltage, as a meter shows it" example="96 V" />
                {kind !== 'dc' && kind !== '' && <Field bench={bench} path={['supply', 'frequency']} label="Frequency" example="50 Hz" />}
                <Field bench={bench} path={['supply', 'duty']} label="On for" example="continuous, or 40 % of 5 min" />
                <Field bench={bench} path={['supply', 'ambient']} label="Air around it, at most" example={bench.units === 'inch' ? '86 °F' : '30 °C'} />
                <Field bench={bench} path={['circuit', 'coils']} label="Such coils on the supply" example="2" />
                {!['', '1'].includes(valueAt(bench.job, ['circuit', 'coils'])) &&
                    <Choose bench={bench} path={['circuit', 'connection']} label="Connected" none="not said" options={[['series', 'in series'], ['parallel', 'in parallel']]} />}
            </div>
        </Group>
    );
}

export function CameIn({ bench }: { bench: Bench }) {
    const loose = looseMistakes(bench, (p) => p.length >= 2);
    return (
        <div class="split">
            <Glance bench={bench} />
            <form onSubmit={(e) => e.preventDefault()}>
                {loose.map((m) => <p class="notice wrong" key={m.text}><b>Line {m.line}: </b>{m.text} {m.expected !== '' && `Expected: ${m.expected}.`}</p>)}
                <Group title="Job">
                    <div class="grid">
                        <Field bench={bench} path={['job', 'name']} label="This coil is" example="spindle brake" />
                        <Field bench={bench} path={['job', 'machine']} label="Of the machine" example="turret lathe" />
                        <Choose bench={bench} path={['units']} label="Show results in" none="as most lengths are" options={[['metric', 'millimetres, grams, °C'], ['inch', 'inches, ounces, °F']]} />
                    </div>
                </Group>
                <Readings bench={bench} />
                <Window bench={bench} />
                <Seen bench={bench} />
                <Supply bench={bench} />
            </form>
            <Verdict bench={bench} />
        </div>
    );
}
