// SPDX-License-Identifier: GPL-3.0-or-later
// At the lathe: one step at a time, to be read from two metres and stepped with an elbow.
import { useEffect, useRef, useState } from 'preact/hooks';
import type { Layer, ReplayLayer, Winding } from './api';
import type { Bench } from './bench';
import { savePlace } from './store';
import { size, wire } from './units';
import { useWakeLock } from './wake';

interface Step {
    readonly title: string;
    readonly big: string;
    readonly under: string;
    readonly layer: Layer | null;
    readonly todo: readonly string[];
}

/** Ready, a step a layer, done. */
function stepsOf(winding: Winding): Step[] {
    const first: Step = {
        title: 'Before the first turn', big: '0', under: 'counter to zero', layer: null,
        todo: ['Sleeves tight, no gloves, hair tied, eyes covered, chuck key out.', 'Fix the start lead at the start flange.',
            'Tension on. Guide at the start flange.', `On the spool: ${wire(winding)}.`],
    };
    const layers = winding.layers.map((layer, i): Step => ({
        title: `Layer ${layer.index} of ${winding.layers.length}`,
        big: String(layer.turns_total),
        under: `${layer.turns} turns in this layer`,
        layer,
        todo: [
            ...(layer.insulation_after ? ['Stop here: a sheet of insulation goes on.'] : []),
            i === winding.layers.length - 1 ? 'Stop here: the coil is full. Hold the tension, tape, bring out the end lead.'
                : layer.turns !== winding.turns_per_layer ? `This layer has ${layer.turns} turns, not ${winding.turns_per_layer}.` : '',
        ].filter((t) => t !== ''),
    }));
    const last: Step = {
        title: 'All turns are on', big: String(winding.turns), under: `turns in ${winding.layers.length} layers`, layer: null,
        todo: ['Measure the resistance with the coil as warm as the room, before it leaves the lathe; the sheet has the limits.'],
    };
    return [first, ...layers, last];
}

const LAP_S = 6; // of the moving picture, whatever the lathe takes

/** Where the guide goes in this layer. In motion it is the program's replay: its turns, its pitch, its direction, in a
 *  few seconds instead of minutes. */
function Travel({ layer, laid, length, turning }: { layer: Layer; laid: ReplayLayer | undefined; length: number; turning: boolean }) {
    const [share, setShare] = useState(1);
    useEffect(() => {
        if (!turning) {
            setShare(1);
            return undefined;
        }
        const begun = performance.now();
        let frame = requestAnimationFrame(function next(now) {
            setShare((((now - begun) / 1000) % LAP_S) / LAP_S);
            frame = requestAnimationFrame(next);
        });
        return () => cancelAnimationFrame(frame);
    }, [turning, layer.index]);
    const x = (m: number | null): number => 40 + 520 * Math.max(0, Math.min(1, (m ?? 0) / length));
    const from = x(layer.start_m);
    const to = from + (x(layer.end_m) - from) * share;
    const away = (laid?.direction ?? layer.direction) > 0;
    const head = away ? -16 : 16;
    const turns = Math.floor((laid?.turns ?? layer.turns) * share);
    const step = (x(layer.end_m) - from) / Math.max(1, layer.turns);
    const shown = Math.min(turns, 400);
    return (
        <>
            <svg class="travel" viewBox="0 0 600 80" role="img" aria-label={away ? 'The guide goes to the far flange.' : 'The guide goes back to the start flange.'}>
                <path class="solid" d="M20 10h14v60H20zM566 10h14v60h-14z" />
                <path class="axis" d="M34 40h532" />
                {turning && <path class={`turns ${away ? 'away' : 'back'}`} d={Array.from({ length: shown }, (_, i) => `M${(from + step * i).toFixed(1)} 22v36`).join('')} />}
                {!turning && <path class={away ? 'away' : 'back'} d={`M${from} 40H${to - (away ? 12 : -12)}`} />}
                <path class={away ? 'away-head' : 'back-head'} d={`M${to} 40l${head * 1.4} -14v28z`} />
            </svg>
            <p class="flanges" aria-hidden="true"><span>start flange</span>{turning && <b class="turn-count">turn {turns} of {laid?.turns.toFixed(0) ?? layer.turns}</b>}<span>far flange</span></p>
        </>
    );
}

function Head({ step, number, count }: { step: Step; number: number; count: number }) {
    return (
        <>
            <div class="lathe-progress" aria-hidden="true"><i style={{ width: `${(100 * number) / (count - 1)}%` }} /></div>
            <h2 class="lathe-title">{step.title}</h2>
            {step.layer !== null && (
                <p class={`lathe-way ${step.layer.direction > 0 ? 'to-far' : 'to-start'}`}>
                    <span aria-hidden="true">{step.layer.direction > 0 ? '→ ' : '← '}</span>
                    {step.layer.direction > 0 ? 'to the far flange' : 'back to the start flange'}
                </p>
            )}
            <p class="lathe-count"><span class="lathe-label">{step.layer === null ? 'Counter' : 'Wind until the counter shows'}</span>
                <span class="lathe-number">{step.big}</span><span class="lathe-under">{step.under}</span></p>
        </>
    );
}

export function Lathe({ bench }: { bench: Bench }) {
    const held = useWakeLock();
    const [turning, setTurning] = useState(false);
    const program = bench.answer?.program;
    const replay = program !== undefined && !('error' in program) ? program.replay : null;
    const lay = bench.answer?.lay;
    const winding = lay !== undefined && !('error' in lay) ? lay : null;
    const steps = winding === null ? [] : stepsOf(winding);
    const at = Math.max(0, Math.min(bench.step, steps.length - 1));
    const now = useRef(at); // two quick presses are two steps, drawn or not
    now.current = at;
    const move = (by: number): void => {
        now.current = Math.max(0, Math.min(now.current + by, steps.length - 1));
        savePlace(bench.id, now.current);
        bench.go('lathe', now.current);
    };
    useEffect(() => {
        const keys = (event: KeyboardEvent): void => {
            const on = event.target instanceof HTMLElement ? event.target.tagName : '';
            if (['INPUT', 'SELECT', 'TEXTAREA'].includes(on) || event.ctrlKey || event.metaKey || event.altKey) return;
            if (['ArrowRight', 'ArrowDown', 'PageDown'].includes(event.key) || (event.key === ' ' && on !== 'BUTTON')) {
                event.preventDefault();
                move(1);
            } else if (['ArrowLeft', 'ArrowUp', 'PageUp'].includes(event.key)) {
                event.preventDefault();
                move(-1);
            }
        };
        addEventListener('keydown', keys);
        return () => removeEventListener('keydown', keys);
    });
    const step = steps[at];
    if (winding === null || step === undefined)
        return <section class="group"><h2>At the lathe</h2><p class="calm">{lay !== undefined && 'error' in lay ? lay.error.text : 'There is no winding yet.'}</p>
            <p><button type="button" class="main" onClick={() => bench.go('wind')}>What to wind</button></p></section>;
    const length = Math.max(...winding.layers.map((l) => Math.max(l.start_m ?? 0, l.end_m ?? 0))) + (winding.pitch_m ?? 0) / 2;
    return (
        <div class="lathe">
            <div aria-live="polite">
                <Head step={step} number={at} count={steps.length} />
            </div>
            {step.layer !== null && <Travel layer={step.layer} laid={replay?.layers[step.layer.index - 1]} length={length} turning={turning} />}
            {step.layer !== null && <button type="button" class="quiet" aria-pressed={turning} onClick={() => setTurning(!turning)}>{turning ? 'Stop the picture' : 'Show the traverse'}</button>}
            {step.layer !== null && <p class="lathe-pitch">Pitch {size(step.layer.pitch_m, bench.units, 4)} a turn, wire on a diameter of {size(step.layer.diameter_m, bench.units, 4)}</p>}
            {step.todo.length > 0 && <ul class="lathe-todo">{step.todo.map((t) => <li key={t}>{t}</li>)}</ul>}
            <div class="lathe-buttons">
                <button type="button" onClick={() => move(-1)} disabled={at === 0}>Back</button>
                <button type="button" class="main" onClick={() => move(1)} disabled={at === steps.length - 1}>
                    {at === 0 ? 'Ready: layer 1' : at >= steps.length - 2 ? 'All layers are on' : `Next: layer ${at + 1}`}</button>
            </div>
            <p class="lathe-keys">Arrow keys and space step too. {held ? 'The screen stays on.' : 'The place is kept if the tablet sleeps.'}</p>
        </div>
    );
}
