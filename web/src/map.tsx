// SPDX-License-Identifier: GPL-3.0-or-later
// A map of values over a section, drawn on paper: darker is more, so that it survives grey and every kind of colour
// blindness. The value stands below for the place under pointer, finger, or the cross that the arrow keys move.
import { useEffect, useMemo, useRef, useState } from 'preact/hooks';
import type { Map as Values, Outline } from './api';
import { ticksOf } from './curve';
import { type Scale, size, type Units } from './units';
import { useWidth } from './width';

type Colour = readonly [number, number, number];
/** Of falling lightness from stop to stop. */
const RAMPS: Readonly<Record<'heat' | 'flux', readonly Colour[]>> = {
    heat: [[255, 251, 240], [246, 211, 140], [226, 148, 40], [163, 74, 30], [70, 20, 40]],
    flux: [[250, 252, 255], [196, 218, 238], [120, 172, 216], [30, 100, 160], [10, 34, 66]],
};

function colourAt(ramp: readonly Colour[], share: number): Colour {
    const place = Math.max(0, Math.min(0.9999, share)) * (ramp.length - 1);
    const [a, b] = [ramp[Math.floor(place)], ramp[Math.floor(place) + 1]];
    const part = place % 1;
    return a === undefined || b === undefined ? [0, 0, 0]
        : [a[0] + (b[0] - a[0]) * part, a[1] + (b[1] - a[1]) * part, a[2] + (b[2] - a[2]) * part];
}

const raw = (m: Values, column: number, row: number): number => m.values[row * m.columns + column] ?? -1;

/** The value at a place of the whole section, left half too; null where there is none. */
export function valueAtPlace(m: Values, x: number, y: number): number | null {
    const column = Math.round((((m.mirrored ? Math.abs(x) : x) - m.x0_m) / (m.x1_m - m.x0_m)) * (m.columns - 1));
    const row = Math.round(((m.y1_m - y) / (m.y1_m - m.y0_m)) * (m.rows - 1));
    if (column < 0 || column >= m.columns || row < 0 || row >= m.rows) return null;
    const found = raw(m, column, row);
    return found < 0 ? null : m.low + m.step * found;
}

interface Frame { readonly left: number; readonly width: number; readonly height: number }
const frameOf = (m: Values): Frame => ({
    left: m.mirrored ? -m.x1_m : m.x0_m, width: m.mirrored ? 2 * m.x1_m : m.x1_m - m.x0_m, height: m.y1_m - m.y0_m,
});

/** Where the greatest value is, in shares of the whole section: the hot spot, or where the iron is fullest. */
function placeOfMost(m: Values): [number, number] {
    const at = m.values.indexOf(m.values.reduce((a, b) => Math.max(a, b), -1));
    const across = (at % m.columns) / (m.columns - 1);
    return [m.mirrored ? 0.5 + across / 2 : across, Math.floor(at / m.columns) / (m.rows - 1)];
}

/** The values as a picture of one dot each, to be stretched. */
function rasterOf(m: Values, most: number, ramp: readonly Colour[]): HTMLCanvasElement {
    const half = m.columns;
    const wide = m.mirrored ? 2 * half - 1 : half;
    const canvas = document.createElement('canvas');
    canvas.width = wide;
    canvas.height = m.rows;
    const context = canvas.getContext('2d');
    const image = context?.createImageData(wide, m.rows);
    for (let row = 0; image !== undefined && row < m.rows; row++)
        for (let i = 0; i < wide; i++) {
            const found = raw(m, m.mirrored ? Math.abs(i - half + 1) : i, row);
            if (found < 0) continue;
            const [r, g, b] = colourAt(ramp, (m.step * found) / (most - m.low || 1));
            image.data.set([r, g, b, 255], 4 * (row * wide + i));
        }
    if (image !== undefined) context?.putImageData(image, 0, 0);
    return canvas;
}

/** Level lines of a map, as pairs of places in its lattice [marching squares]. */
function levelLines(m: Values, count: number): number[][] {
    const all = m.values.filter((v) => v >= 0);
    const [low, high] = [all.reduce((a, b) => Math.min(a, b), Infinity), all.reduce((a, b) => Math.max(a, b), -Infinity)];
    const lines: number[][] = [];
    for (let n = 0; n < count; n++) {
        const level = low + ((high - low) * (n + 0.5)) / count;
        const path: number[] = [];
        for (let row = 0; row + 1 < m.rows; row++)
            for (let column = 0; column + 1 < m.columns; column++) {
                const low4 = Math.min(raw(m, column, row), raw(m, column + 1, row), raw(m, column, row + 1), raw(m, column + 1, row + 1));
                const high4 = Math.max(raw(m, column, row), raw(m, column + 1, row), raw(m, column, row + 1), raw(m, column + 1, row + 1));
                if (low4 > level || high4 < level) continue;
                const corner = [[column, row], [column + 1, row], [column + 1, row + 1], [column, row + 1]] as const;
                const value = corner.map(([c, r]) => raw(m, c, r) - level);
                for (let side = 0; side < 4; side++) {
                    const [a, b] = [value[side] ?? 0, value[(side + 1) % 4] ?? 0];
                    const [from, to] = [corner[side], corner[(side + 1) % 4]];
                    if (a < 0 === b < 0 || from === undefined || to === undefined) continue;
                    const t = a / (a - b);
                    path.push(from[0] + (to[0] - from[0]) * t, from[1] + (to[1] - from[1]) * t);
                }
                path.length -= path.length % 4;
            }
        lines.push(path);
    }
    return lines;
}

function drawParts(context: CanvasRenderingContext2D, parts: readonly Outline[], place: (x: number, y: number) => [number, number], mirrored: boolean): void {
    for (const side of mirrored ? [1, -1] : [1])
        for (const part of parts) {
            const [x0, x1, y0, y1] = [part.x_m[0] ?? 0, part.x_m[1] ?? 0, part.y_m[0] ?? 0, part.y_m[1] ?? 0];
            const tip = part.drop_m;
            const corners = part.moves
                ? [[x0, y0 - (x0 <= 0 ? tip : 0)], [x1, y0], [x1, y1], [x0, y1]]
                : [[x0, y0], [x1, y0], [x1, y1], [x0, y1 - (x0 <= 0 ? tip : 0)]];
            context.beginPath();
            for (const [i, [x, y]] of (corners as [number, number][]).entries()) {
                const [px, py] = place(side * x, y);
                if (i === 0) context.moveTo(px, py);
                else context.lineTo(px, py);
            }
            context.closePath();
            context.stroke();
        }
}

export function MapView({ title, values, flux, parts, ramp, scale, show, units, most }: {
    title: string; values: Values; flux?: Values; parts: readonly Outline[]; ramp: 'heat' | 'flux'; scale: Scale;
    show: (value: number | null) => string; units: Units; most?: number;
}) {
    const canvas = useRef<HTMLCanvasElement>(null);
    const frame = frameOf(values);
    const top = most ?? values.low + values.step * values.values.reduce((a, b) => Math.max(a, b), 0);
    const [at, setAt] = useState(() => placeOfMost(values)); // in shares of width and height, y down
    const { box, width: wide } = useWidth<HTMLDivElement>(480);
    const raster = useMemo(() => rasterOf(values, top, RAMPS[ramp]), [values, top, ramp]);
    const lines = useMemo(() => (flux === undefined ? [] : levelLines(flux, 12)), [flux]);
    const tall = Math.min((wide * frame.height) / frame.width, 620);
    const across = (tall * frame.width) / frame.height;
    useEffect(() => {
        const context = canvas.current?.getContext('2d');
        if (!canvas.current || !context) return;
        const fine = devicePixelRatio || 1;
        canvas.current.width = Math.round(across * fine);
        canvas.current.height = Math.round(tall * fine);
        const [w, h] = [canvas.current.width, canvas.current.height];
        const place = (x: number, y: number): [number, number] => [((x - frame.left) / frame.width) * w, ((values.y1_m - y) / frame.height) * h];
        context.fillStyle = '#ffffff';
        context.fillRect(0, 0, w, h);
        context.imageSmoothingEnabled = true;
        context.drawImage(raster, 0, 0, w, h);
        context.strokeStyle = 'rgba(20,20,20,0.55)';
        context.lineWidth = 0.9 * fine;
        for (const path of lines) {
            context.beginPath();
            for (let i = 0; flux !== undefined && i + 3 < path.length; i += 4)
                for (const side of flux.mirrored ? [1, -1] : [1])
                    for (const end of [0, 2]) {
                        const x = flux.x0_m + ((flux.x1_m - flux.x0_m) * (path[i + end] ?? 0)) / (flux.columns - 1);
                        const y = flux.y1_m - ((flux.y1_m - flux.y0_m) * (path[i + end + 1] ?? 0)) / (flux.rows - 1);
                        if (end === 0) context.moveTo(...place(side * x, y));
                        else context.lineTo(...place(side * x, y));
                    }
            context.stroke();
        }
        context.strokeStyle = '#1a1a1a';
        context.lineWidth = 1.4 * fine;
        drawParts(context, parts, place, values.mirrored);
        context.lineWidth = 2 * fine;
        const [cx, cy] = [at[0] * w, at[1] * h];
        for (const [colour, grow] of [['#ffffff', 2], ['#1a1a1a', 0]] as const) { // seen on light and on dark
            context.strokeStyle = colour;
            context.lineWidth = (2 + grow) * fine;
            context.beginPath();
            context.arc(cx, cy, 7 * fine, 0, 2 * Math.PI);
            context.stroke();
        }
    }, [raster, lines, parts, across, tall, at]);
    const [x, y] = [frame.left + at[0] * frame.width, values.y1_m - at[1] * frame.height];
    const inside = [...parts].reverse().find((p) => {
        const ax = values.mirrored ? Math.abs(x) : x;
        return ax >= (p.x_m[0] ?? 0) && ax <= (p.x_m[1] ?? 0) && y >= (p.y_m[0] ?? 0) && y <= (p.y_m[1] ?? 0);
    });
    const point = (event: PointerEvent): void => {
        const now = canvas.current?.getBoundingClientRect();
        if (now !== undefined) setAt([Math.max(0, Math.min(1, (event.clientX - now.left) / now.width)), Math.max(0, Math.min(1, (event.clientY - now.top) / now.height))]);
    };
    const keys = (event: KeyboardEvent): void => {
        const by = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
        if (by === undefined) return;
        event.preventDefault();
        const step = event.shiftKey ? 0.05 : 0.01;
        setAt(([ax, ay]) => [Math.max(0, Math.min(1, ax + step * (by[0] ?? 0))), Math.max(0, Math.min(1, ay + step * (by[1] ?? 0)))]);
    };
    const value = valueAtPlace(values, x, y);
    const foot = parts.reduce((least, p) => Math.min(least, p.y_m[0] ?? 0), Infinity);
    return (
        <figure class="map">
            <figcaption>{title}</figcaption>
            <p class="map-read" role="status"><b>{value === null ? 'nothing to read here' : show(value)}</b> {inside !== undefined && `in the ${inside.name}, `}
                {size(Math.abs(x), units)} from the middle, {size(y - foot, units)} above the bottom</p>
            <div class="map-paper" ref={box}>
                <div class="map-canvas" tabIndex={0} role="group" aria-label={`${title}. The arrow keys move the place that is read.`} onKeyDown={keys}>
                    <canvas ref={canvas} role="img" aria-label={title} style={{ width: `${across}px`, height: `${tall}px` }} onPointerMove={point} onPointerDown={point} />
                </div>
            </div>
            <div class="scale" aria-hidden="true">
                <i class={`scale-bar ${ramp}`} />
                {ticksOf(values.low, top, 4, scale).map(([v, word]) => <span style={{ left: `${(100 * (v - values.low)) / (top - values.low || 1)}%` }} key={word}>{word}</span>)}
                <b>{scale.unit}</b>
            </div>
        </figure>
    );
}
