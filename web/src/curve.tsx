// SPDX-License-Identifier: GPL-3.0-or-later
// Curves over one quantity, with a line to read values at: by pointer, touch, or the slider below.
import { useId, useMemo, useState } from 'preact/hooks';
import type { Scale } from './units';
import { useWidth } from './width';

export interface Series {
    readonly name: string;
    readonly y: readonly (number | null)[];
    readonly tone: 'blue' | 'orange' | 'grey';
    readonly dashed?: boolean;
}

interface Mark { readonly at: number; readonly name: string }

interface Props {
    readonly title: string;
    readonly x: readonly number[];                 // rising
    readonly series: readonly Series[];
    readonly xName: string;
    readonly xScale: Scale;
    readonly yScale: Scale;
    readonly showX: (x: number) => string;
    readonly showY: (y: number | null) => string;
    readonly level?: Mark | undefined;             // a line across
    readonly marks?: readonly Mark[];              // lines upright
    readonly dot?: { readonly x: number; readonly y: number } | undefined;
    readonly fromZero?: boolean;
}

const LEFT = 58; // px
const RIGHT = 14;
const TOP = 26;
const BOTTOM = 46;

/** Round numbers that cover a range: 1, 2 or 5 times a power of ten. */
export function ticks(low: number, high: number, about: number): number[] {
    const rough = (high - low) / about || 1;
    const power = 10 ** Math.floor(Math.log10(rough));
    const step = [1, 2, 5, 10].map((n) => n * power).find((s) => s >= rough) ?? power;
    const found: number[] = [];
    for (let i = Math.ceil(low / step - 1e-9); i * step <= high + 1e-9 * step; i++) found.push(i * step);
    return found;
}

/** Round numbers of a scale between two values, as [value, what is written]. */
export function ticksOf(low: number, high: number, about: number, scale: Scale): (readonly [number, string])[] {
    const written = ticks(low * scale.per + scale.more, high * scale.per + scale.more, about);
    const step = Math.abs((written[1] ?? 1) - (written[0] ?? 0));
    const digits = Math.max(0, Math.min(6, -Math.floor(Math.log10(step) + 1e-9)));
    return written.map((w) => [(w - scale.more) / scale.per, w.toFixed(digits)] as const);
}

/** The value at x between the points of a curve. */
export function valueOn(x: readonly number[], y: readonly (number | null)[], at: number): number | null {
    const next = x.findIndex((v) => v >= at);
    if (next <= 0) return y[next === 0 ? 0 : y.length - 1] ?? null;
    const [x0, x1, y0, y1] = [x[next - 1] ?? 0, x[next] ?? 0, y[next - 1] ?? null, y[next] ?? null];
    return y0 === null || y1 === null ? null : y0 + ((y1 - y0) * (at - x0)) / (x1 - x0 || 1);
}

export function Curve({ title, x, series, xName, xScale, yScale, showX, showY, level, marks = [], dot, fromZero = true }: Props) {
    const id = useId();
    const { box, width } = useWidth<HTMLDivElement>(560);
    const height = Math.round(Math.max(210, Math.min(360, width * 0.5)));
    const [low, high] = [x[0] ?? 0, x[x.length - 1] ?? 1];
    const [at, setAt] = useState<number | null>(null);
    const here = at ?? dot?.x ?? (low + high) / 2;
    const [bottom, top] = useMemo(() => {
        const all = series.flatMap((s) => s.y.filter((v): v is number => v !== null)).concat(level === undefined ? [] : [level.at]);
        const [least, most] = [Math.min(...all), Math.max(...all)];
        const margin = 0.06 * (most - least || Math.abs(most) || 1);
        return [fromZero && least >= 0 ? 0 : least - margin, most + margin];
    }, [series, level]);
    const px = (v: number): number => LEFT + ((width - LEFT - RIGHT) * (v - low)) / (high - low || 1);
    const py = (v: number): number => height - BOTTOM - ((height - TOP - BOTTOM) * (v - bottom)) / (top - bottom || 1);
    const paths = useMemo(() => series.map((s) => {
        let pen = 'M';
        return s.y.map((v, i) => {
            if (v === null) {
                pen = 'M';
                return '';
            }
            const part = `${pen}${px(x[i] ?? 0).toFixed(1)} ${py(v).toFixed(1)}`;
            pen = 'L';
            return part;
        }).join('');
    }), [x, series, bottom, top, width]);
    const read = (event: PointerEvent): void => {
        const left = box.current?.getBoundingClientRect().left ?? 0;
        setAt(Math.max(low, Math.min(high, low + ((event.clientX - left - LEFT) / (width - LEFT - RIGHT)) * (high - low))));
    };
    const said = series.map((s) => `${series.length > 1 ? `${s.name} ` : ''}${showY(valueOn(x, s.y, here))}`).join(', ');
    return (
        <figure class="curve">
            <figcaption id={`${id}-title`}>{title}</figcaption>
            {series.length > 1 && <ul class="keys" aria-hidden="true">{series.map((s) => <li key={s.name}><i class={`key ${s.tone}${s.dashed ? ' dashed' : ''}`} />{s.name}</li>)}</ul>}
            <div ref={box}>
                <svg width={width} height={height} viewBox={`0 0 ${width} ${height}`} aria-hidden="true" onPointerMove={read} onPointerDown={read}>
                    <text x={LEFT - 8} y={14} text-anchor="end">{yScale.unit}</text>
                    {ticksOf(bottom, top, height / 56, yScale).map(([v, word]) => <g key={word}><path class="net" d={`M${LEFT} ${py(v)}H${width - RIGHT}`} /><text x={LEFT - 8} y={py(v) + 5} text-anchor="end">{word}</text></g>)}
                    {ticksOf(low, high, width / 85, xScale).map(([v, word]) => <g key={word}><path class="net" d={`M${px(v)} ${height - BOTTOM}v5`} /><text x={px(v)} y={height - BOTTOM + 20} text-anchor="middle">{word}</text></g>)}
                    <text x={(LEFT + width - RIGHT) / 2} y={height - 6} text-anchor="middle">{xName}, {xScale.unit}</text>
                    <path class="frame" d={`M${LEFT} ${TOP}V${height - BOTTOM}H${width - RIGHT}`} />
                    {level !== undefined && <g><path class="level" d={`M${LEFT} ${py(level.at)}H${width - RIGHT}`} /><text x={width - RIGHT - 4} y={py(level.at) - 5} text-anchor="end">{level.name}</text></g>}
                    {marks.filter((m) => m.at >= low && m.at <= high).map((m) => {
                        const right = px(m.at) > width * 0.7;
                        return <g key={m.name}><path class="level" d={`M${px(m.at)} ${TOP}V${height - BOTTOM}`} /><text x={px(m.at) + (right ? -5 : 5)} y={TOP - 8} text-anchor={right ? 'end' : 'start'}>{m.name}</text></g>;
                    })}
                    {paths.map((d, i) => <path key={series[i]?.name} class={`trace ${series[i]?.tone}${series[i]?.dashed ? ' dashed' : ''}`} d={d} />)}
                    <path class="reader" d={`M${px(here)} ${TOP}V${height - BOTTOM}`} />
                    {dot !== undefined && <circle class="dot" cx={px(dot.x)} cy={py(dot.y)} r="6" />}
                </svg>
            </div>
            <div class="read">
                <label for={id}>Read at</label>
                <input id={id} type="range" min="0" max="1000" value={Math.round((1000 * (here - low)) / (high - low || 1))} aria-describedby={`${id}-title`}
                    aria-valuetext={`${showX(here)}: ${said}`} onInput={(e) => setAt(low + (Number(e.currentTarget.value) / 1000) * (high - low))} />
                <output for={id}><b>{showX(here)}</b> {said}</output>
            </div>
        </figure>
    );
}
