// SPDX-License-Identifier: GPL-3.0-or-later
// The former: the solid to turn around, its sizes, the arbor that carries it, the files.
import { useEffect, useState } from 'preact/hooks';
import type { Former as FormerOf, FormerPart } from './api';
import { fetchFile } from './ask';
import { type Bench, paperText } from './bench';
import { Choose, Field, Group } from './fields';
import { Download } from './papers';
import { SolidView } from './solid';
import { useStage } from './stage';
import { mass, size, warmth } from './units';
import { useDrawing } from './wind';

const PARTS = [['former', 'The former'], ['arbor', 'The arbor']] as const;
type Part = (typeof PARTS)[number][0];

/** The solid of a part, when its sizes have changed; the old one stands until then. */
function useSolid(bench: Bench, part: Part, key: string | null): { bytes: ArrayBuffer | null; why: string } {
    const [solid, setSolid] = useState<{ bytes: ArrayBuffer | null; why: string }>({ bytes: null, why: '' });
    useEffect(() => {
        let current = true;
        if (key === null) return undefined;
        fetchFile(`/api/former.stl?part=${part}`, paperText(bench)).then((blob) => blob.arrayBuffer()).then(
            (bytes) => { if (current) setSolid({ bytes, why: '' }); },
            (trouble: Error) => { if (current) setSolid({ bytes: null, why: trouble.message }); });
        return () => { current = false; };
    }, [part, key]);
    return solid;
}

function across(o: FormerPart['finished']['bore'], round: boolean, bench: Bench): string {
    return round ? `${size(o.width_m, bench.units, 4)} across` : `${size(o.width_m, bench.units, 4)} by ${size(o.breadth_m, bench.units, 4)}`;
}

function Sizes({ bench, study }: { bench: Bench; study: FormerOf }) {
    const { former } = study;
    const { finished } = former;
    const u = bench.units;
    const round = former.shape === 'round';
    return (
        <section class="group">
            <h2>As it must measure</h2>
            <p class="headline">{former.material}, {former.process}; {size(finished.length_m, u, 4)} long</p>
            <dl class="figures">
                <div><dt>Bore</dt><dd>{across(finished.bore, round, bench)}</dd></div>
                <div><dt>Tube</dt><dd>{across(finished.tube, round, bench)} <small>wall {size(finished.wall_m, u)}</small></dd></div>
                <div><dt>Flanges</dt><dd>{across(finished.flange, round, bench)} <small>{size(finished.flange_thickness_m, u)} thick</small></dd></div>
                <div><dt>Between flanges</dt><dd>{size(finished.section_length_m, u, 4)}</dd></div>
                <div><dt>Room to the core</dt><dd>{size(former.clearance_to_core_m, u)} <small>on each side</small></dd></div>
                <div><dt>Mass</dt><dd>{mass(former.mass_kg, u)}</dd></div>
                <div><dt>Gives way at</dt><dd>{warmth(former.softens_c, u)} <small>lasts up to {warmth(former.lasts_c, u)}</small></dd></div>
            </dl>
            {study.compensated && <p class="about">A print shrinks: the file to print is larger by {(100 * former.shrink).toFixed(1)} %, its holes by {size(former.hole_growth_m, u)}.</p>}
            {former.remark !== '' && <p class="doubt">{former.remark}</p>}
            {study.no_arbor !== null && <p class="doubt"><b>No arbor: </b>{study.no_arbor}</p>}
        </section>
    );
}

function Files({ bench, arbor, tell }: { bench: Bench; arbor: boolean; tell: (what: string) => void }) {
    return (
        <Group title="Files" about="STL and 3MF to print, STEP for other programs; solids are in millimetres.">
            <div class="buttons">
                <Download bench={bench} path="/api/former.stl?part=print" ending="-former.stl" label="Former, STL to print" main tell={tell} />
                <Download bench={bench} path="/api/former.3mf?part=print" ending="-former.3mf" label="Former, 3MF to print" tell={tell} />
                <Download bench={bench} path="/api/former.step?part=former" ending="-former.step" label="Former, STEP" tell={tell} />
                {arbor && <Download bench={bench} path="/api/former.step?part=arbor" ending="-arbor.step" label="Arbor, STEP" tell={tell} />}
                {arbor && <Download bench={bench} path="/api/former.stl?part=arbor" ending="-arbor.stl" label="Arbor, STL" tell={tell} />}
                <Download bench={bench} path="/api/drawing.pdf?part=former" ending="-former.pdf" label="Drawing of the former" tell={tell} />
                <Download bench={bench} path="/api/drawing.dxf?part=former" ending="-former.dxf" label="The same, DXF" tell={tell} />
                {arbor && <Download bench={bench} path="/api/drawing.pdf?part=arbor" ending="-arbor.pdf" label="Drawings of the arbor" tell={tell} />}
            </div>
        </Group>
    );
}

function Wishes({ bench }: { bench: Bench }) {
    const inch = bench.units === 'inch';
    return (
        <Group title="How it is to be made" about="What is left open takes the usual.">
            <form class="grid" onSubmit={(e) => e.preventDefault()}>
                <Field bench={bench} path={['former', 'material']} label="Material" example="pa12" />
                <Choose bench={bench} path={['former', 'process']} label="Made by" none="the usual of the material" options={[['filament', 'filament printer'], ['powder', 'powder printer'], ['resin', 'resin printer'], ['turned', 'turning'], ['milled', 'milling']]} />
                <Field bench={bench} path={['former', 'wall']} label="Wall of the tube" example={inch ? '1/16 in' : '1.5 mm'} />
                <Field bench={bench} path={['former', 'flange']} label="Flange" example={inch ? '0.08 in' : '2 mm'} />
                <Field bench={bench} path={['former', 'clearance']} label="Room to the core" example={inch ? '0.012 in' : '0.3 mm'} />
                <Field bench={bench} path={['former', 'slot']} label="Slot for the leads" example={inch ? '1/8 in' : '3 mm'} />
                <Choose bench={bench} path={['former', 'split']} label="In two halves" none="no" options={[['yes', 'yes, round a core that does not open'], ['no', 'no']]} />
            </form>
        </Group>
    );
}

export function Former({ bench }: { bench: Bench }) {
    const study = useStage<FormerOf>(bench, '/api/former');
    const part: Part = bench.detail === 'arbor' && study.value?.arbor !== null ? 'arbor' : 'former';
    const solid = useSolid(bench, part, study.value === null || study.stale ? null : study.value.words);
    const drawing = useDrawing(bench, '/api/drawing.svg?part=former', study.value === null || study.stale ? null : study.value.words);
    const [told, tell] = useState('');
    return (
        <>
            <p class="told" role="status">{told}</p>
            {study.value === null && <section class="group"><h2>Former</h2><p class="calm">{study.why !== '' ? study.why : 'Being computed.'}</p></section>}
            {study.value !== null && (
                <div class={`pair ${study.stale ? 'stale' : ''}`}>
                    <section class="group">
                        {study.value.arbor !== null && <div class="chips" role="group" aria-label="Which part">
                            {PARTS.map(([word, name]) => <button type="button" class="chip" key={word} aria-pressed={part === word} onClick={() => bench.keep(word)}>{name}</button>)}</div>}
                        {solid.bytes !== null && <SolidView bytes={solid.bytes} title={part === 'former' ? 'The former, as it must measure' : 'The arbor, piece by piece'} />}
                        {solid.bytes === null && <p class="calm">{solid.why !== '' ? solid.why : 'The solid is being made.'}</p>}
                    </section>
                    <Sizes bench={bench} study={study.value} />
                </div>
            )}
            {drawing.url !== null && <figure class="group drawing"><img src={drawing.url} alt="Workshop drawing of the former with all its sizes." /></figure>}
            {drawing.why !== null && <p class="notice">{drawing.why}</p>}
            {study.value !== null && <Files bench={bench} arbor={study.value.arbor !== null} tell={tell} />}
            <Wishes bench={bench} />
        </>
    );
}
