// SPDX-License-Identifier: GPL-3.0-or-later
// Switched on and off: current and pull over time, what a suppressor costs in time and saves in voltage.
import type { Suppressor, Switch, SwitchPoint } from './api';
import type { Bench } from './bench';
import { Curve, type Series } from './curve';
import { useStage } from './stage';
import { ampere, currentScale, force, forceScale, joule, seconds, timeScale, volt, voltScale } from './units';

const NAMES: Readonly<Record<string, string>> = {
    none: 'nothing', resistor: 'a resistor', diode: 'a diode', 'diode and resistor': 'a diode and a resistor', Zener: 'a Zener diode',
    varistor: 'a varistor', RC: 'a resistor and a capacitor',
};
const named = (word: string): string => NAMES[word] ?? word;
const most = (values: readonly (number | null)[]): number => values.reduce<number>((a, b) => Math.max(a, Math.abs(b ?? 0)), 0);

function columns(points: readonly SwitchPoint[]) {
    return { x: points.map((p) => p.time_s), current: points.map((p) => p.current_a), voltage: points.map((p) => p.voltage_v), pull: points.map((p) => p.force_n) };
}

/** A second curve at the times of the first. */
function along(x: readonly number[], points: readonly SwitchPoint[], of: (p: SwitchPoint) => number | null): (number | null)[] {
    let at = 0;
    return x.map((time) => {
        while (at + 1 < points.length && (points[at + 1]?.time_s ?? Infinity) <= time) at++;
        const [a, b] = [points[at], points[at + 1]];
        if (a === undefined) return null;
        const [u, v] = [of(a), b === undefined ? null : of(b)];
        return u === null || v === null || b === undefined ? u : u + ((v - u) * Math.min(1, Math.max(0, time - a.time_s))) / (b.time_s - a.time_s || 1);
    });
}

function On({ bench, study }: { bench: Bench; study: Switch }) {
    const { on, on_cold: cold } = study;
    const warm = columns(on.curve);
    const end = Math.max(on.time_to_95_s ?? 0, cold.time_to_95_s ?? 0) * 1.6 || Infinity;
    const shown = warm.x.filter((t) => t <= end).length;
    const x = warm.x.slice(0, shown);
    const pull = warm.pull.slice(0, shown);
    const marks = on.time_to_pull_s === null ? [] : [{ at: on.time_to_pull_s, name: 'pulls in' }];
    const current: Series[] = [{ name: 'warm', y: warm.current.slice(0, shown), tone: 'orange' }, { name: 'cold', y: along(x, cold.curve, (p) => p.current_a), tone: 'blue', dashed: true }];
    return (
        <section class="group">
            <h2>Switched on</h2>
            <p class="headline">{on.time_to_pull_s !== null ? `It pulls in after ${seconds(on.time_to_pull_s)} warm, ${seconds(cold.time_to_pull_s)} cold.`
                : `95 % of the current after ${seconds(on.time_to_95_s)}.`}</p>
            <dl class="figures">
                {on.needed_current_a !== null && <div><dt>Needed to pull in</dt><dd>{ampere(on.needed_current_a)}</dd></div>}
                <div><dt>Current, settled</dt><dd>{ampere(on.current_a)} <small>cold {ampere(cold.current_a)}</small></dd></div>
                <div><dt>Stored</dt><dd>{joule(on.stored_j)}</dd></div>
                {(on.ripple ?? 0) > 0.005 && <div><dt>Ripple</dt><dd>{(100 * (on.ripple ?? 0)).toFixed(0)} %</dd></div>}
            </dl>
            <div class="pair">
                <Curve title="Current after switching on" x={x} series={current} xName="time" xScale={timeScale(x[x.length - 1] ?? 1)} yScale={currentScale(most(warm.current))} showX={(v) => seconds(v)} showY={ampere} marks={marks} />
                {pull.some((p) => p !== null) && <Curve title="Pull after switching on, warm, still open" x={x} series={[{ name: 'pull', y: pull, tone: 'blue' }]} xName="time"
                    xScale={timeScale(x[x.length - 1] ?? 1)} yScale={forceScale(most(pull), bench.units)} showX={(v) => seconds(v)} showY={(v) => force(v, bench.units)} marks={marks} />}
            </div>
        </section>
    );
}

function Table({ study, chosen, choose }: { study: Switch; chosen: string; choose: (word: string) => void }) {
    const row = (s: Suppressor) => (
        <tr key={s.suppressor} class={s.suppressor === chosen ? 'chosen' : ''}>
            <th scope="row"><button type="button" class="quiet" aria-pressed={s.suppressor === chosen} onClick={() => choose(s.suppressor)}>{s.suppressor}</button></th>
            <td>{s.closes_again ? 'closes again' : seconds(s.time_to_release_s)}</td>
            <td>{volt(s.contact_voltage_v)}</td>
            <td>{volt(s.peak_voltage_v)}{!s.within_insulation && <b class="short"> above its insulation</b>}</td>
            <td>{joule(s.clamp_energy_j)}</td>
        </tr>
    );
    return (
        <div class="scroll" tabIndex={0} role="region" aria-label="Suppressors">
            <table>
                <thead><tr><th scope="col">With</th><th scope="col">Lets go after</th><th scope="col">At the contact</th><th scope="col">At the coil</th><th scope="col">It takes up</th></tr></thead>
                <tbody>{study.suppressors.map(row)}</tbody>
            </table>
        </div>
    );
}

function Off({ bench, study, choose }: { bench: Bench; study: Switch; choose: (word: string) => void }) {
    const { off } = study;
    const c = columns(off.curve);
    const times = timeScale(c.x[c.x.length - 1] ?? 1);
    const marks = off.time_to_release_s === null ? [] : [{ at: off.time_to_release_s, name: 'lets go' }];
    return (
        <section class="group">
            <h2>Switched off</h2>
            <p class="headline">With {named(off.suppressor)} it lets go after {seconds(off.time_to_release_s)}; the contact sees {volt(off.contact_voltage_v)}.</p>
            {!off.within_insulation && <p class="doubt"><b>Too high: </b>the coil sees {volt(off.peak_voltage_v)}, and its insulation is tested with {volt(off.insulation_test_v)}.</p>}
            {off.closes_again && <p class="doubt"><b>Beware: </b>the current swings back so far that it closes again.</p>}
            <Table study={study} chosen={off.suppressor} choose={choose} />
            <p class="about buy">{off.buy.text}</p>
            <div class="pair">
                <Curve title={`Current after switching off, with ${named(off.suppressor)}`} x={c.x} series={[{ name: 'current', y: c.current, tone: 'orange' }]} xName="time" xScale={times} yScale={currentScale(most(c.current))} showX={(v) => seconds(v)} showY={ampere} marks={marks} fromZero={false} />
                <Curve title="Voltage across the coil" x={c.x} series={[{ name: 'voltage', y: c.voltage, tone: 'blue' }]} xName="time" xScale={times} yScale={voltScale(most(c.voltage))} showX={(v) => seconds(v)} showY={volt} marks={marks} fromZero={false} />
                {c.pull.some((p) => p !== null) && <Curve title="Pull while it lets go" x={c.x} series={[{ name: 'pull', y: c.pull, tone: 'blue' }]} xName="time" xScale={times} yScale={forceScale(most(c.pull), bench.units)} showX={(v) => seconds(v)} showY={(v) => force(v, bench.units)} marks={marks} />}
            </div>
        </section>
    );
}

export function Switching({ bench }: { bench: Bench }) {
    const suppressor = bench.detail;
    const study = useStage<Switch>(bench, suppressor === '' ? '/api/switch' : `/api/switch?suppressor=${encodeURIComponent(suppressor)}`);
    if (study.value === null)
        return <section class="group"><h2>Switching</h2><p class="calm">{study.why !== '' ? study.why : 'Being computed.'}</p></section>;
    return (
        <div class={study.stale ? 'stale' : ''}>
            {study.why !== '' && <p class="notice">{study.why}</p>}
            <p class="notice"><b>A coil bites when its circuit opens. </b>Isolate, lock off and prove dead before you touch its leads.</p>
            <On bench={bench} study={study.value} />
            <Off bench={bench} study={study.value} choose={bench.keep} />
            {study.value.remark !== '' && <p class="about">{study.value.remark}</p>}
        </div>
    );
}
