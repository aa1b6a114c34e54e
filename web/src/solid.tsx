// SPDX-License-Identifier: GPL-3.0-or-later
// A solid to turn around, by WebGL2: facets in even light, and the edges of the part drawn as on a drawing.
//
// Reads binary STL: 80 bytes, a count, then 50 bytes a triangle. A corner that several triangles share is one point as
// soon as it lies within a thousandth of the part's size; an edge is drawn where its two facets meet at more than CREASE.
import { useEffect, useRef, useState } from 'preact/hooks';
import { useWidth } from './width';

const CREASE = Math.cos((25 * Math.PI) / 180);

interface Mesh {
    readonly facets: Float32Array; // position and normal, 6 numbers a corner
    readonly edges: Float32Array;  // positions, 2 ends an edge
    readonly middle: readonly [number, number, number];
    readonly radius: number;
}

type Vector = readonly [number, number, number];
const minus = (a: Vector, b: Vector): Vector => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
const cross = (a: Vector, b: Vector): Vector => [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
const dot = (a: Vector, b: Vector): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
const unit = (a: Vector): Vector => {
    const length = Math.hypot(...a) || 1;
    return [a[0] / length, a[1] / length, a[2] / length];
};

/** Throws where the bytes are no STL. */
export function readStl(bytes: ArrayBuffer): Mesh {
    const view = new DataView(bytes);
    const count = bytes.byteLength >= 84 ? view.getUint32(80, true) : -1;
    if (count < 1 || bytes.byteLength !== 84 + 50 * count) throw new Error('The solid that came cannot be read.');
    const corner = (t: number, c: number): Vector => {
        const at = 84 + 50 * t + 12 + 12 * c;
        return [view.getFloat32(at, true), view.getFloat32(at + 4, true), view.getFloat32(at + 8, true)];
    };
    const [low, high] = [[Infinity, Infinity, Infinity], [-Infinity, -Infinity, -Infinity]] as [number[], number[]];
    for (let t = 0; t < count; t++)
        for (let c = 0; c < 3; c++)
            corner(t, c).forEach((v, i) => { low[i] = Math.min(low[i] ?? v, v); high[i] = Math.max(high[i] ?? v, v); });
    const middle = [0, 1, 2].map((i) => ((low[i] ?? 0) + (high[i] ?? 0)) / 2) as [number, number, number];
    const radius = Math.hypot(...[0, 1, 2].map((i) => (high[i] ?? 0) - (low[i] ?? 0))) / 2 || 1;
    const facets = new Float32Array(18 * count);
    const sides = new Map<string, { a: Vector; b: Vector; normal: Vector; met: boolean }>();
    const edges: number[] = [];
    const name = (p: Vector): string => p.map((v) => Math.round((1000 * v) / radius)).join(' ');
    for (let t = 0; t < count; t++) {
        const points = [corner(t, 0), corner(t, 1), corner(t, 2)] as const;
        const normal = unit(cross(minus(points[1], points[0]), minus(points[2], points[0])));
        points.forEach((p, c) => facets.set([...p, ...normal], 18 * t + 6 * c));
        for (let c = 0; c < 3; c++) {
            const [a, b] = [points[c] ?? points[0], points[(c + 1) % 3] ?? points[0]];
            const key = [name(a), name(b)].sort().join('|');
            const other = sides.get(key);
            if (other === undefined) sides.set(key, { a, b, normal, met: false });
            else if (!other.met) {
                other.met = true;
                if (dot(other.normal, normal) < CREASE) edges.push(...a, ...b);
            }
        }
    }
    return { facets, edges: new Float32Array(edges), middle, radius };
}

const VERTEX = `#version 300 es
in vec3 place; in vec3 normal; uniform mat3 turn; uniform vec3 middle; uniform vec2 scale; uniform float near; out vec3 n;
void main() { vec3 p = turn * (place - middle); n = turn * normal; gl_Position = vec4(p.xy * scale, -p.z * scale.x * 0.3 - near, 1.0); }`;
const FRAGMENT = `#version 300 es
precision mediump float; in vec3 n; uniform vec3 colour; uniform float lit; out vec4 seen;
void main() { float light = 0.62 + 0.38 * max(dot(normalize(n), normalize(vec3(0.35, 0.55, 0.75))), 0.0); seen = vec4(colour * mix(1.0, light, lit), 1.0); }`;

interface Painter { paint(turn: readonly number[], zoom: number, width: number, height: number): void; end(): void }

function shaderOf(gl: WebGL2RenderingContext, type: number, source: string): WebGLShader {
    const shader = gl.createShader(type);
    if (shader === null) throw new Error('no shader');
    gl.shaderSource(shader, source);
    gl.compileShader(shader);
    return shader;
}

/** null where the browser has no WebGL2. */
function painterOf(canvas: HTMLCanvasElement, mesh: Mesh): Painter | null {
    const gl = canvas.getContext('webgl2', { antialias: true, alpha: true });
    if (gl === null) return null;
    const program = gl.createProgram();
    gl.attachShader(program, shaderOf(gl, gl.VERTEX_SHADER, VERTEX));
    gl.attachShader(program, shaderOf(gl, gl.FRAGMENT_SHADER, FRAGMENT));
    gl.bindAttribLocation(program, 0, 'place');
    gl.bindAttribLocation(program, 1, 'normal');
    gl.linkProgram(program);
    gl.useProgram(program);
    const [facets, edges] = [gl.createBuffer(), gl.createBuffer()];
    gl.bindBuffer(gl.ARRAY_BUFFER, facets);
    gl.bufferData(gl.ARRAY_BUFFER, mesh.facets, gl.STATIC_DRAW);
    gl.bindBuffer(gl.ARRAY_BUFFER, edges);
    gl.bufferData(gl.ARRAY_BUFFER, mesh.edges, gl.STATIC_DRAW);
    const at = (name: string): WebGLUniformLocation | null => gl.getUniformLocation(program, name);
    gl.uniform3fv(at('middle'), mesh.middle);
    gl.enable(gl.DEPTH_TEST);
    gl.enableVertexAttribArray(0);
    const draw = (colour: Vector, lit: number, near: number): void => {
        gl.uniform3fv(at('colour'), colour);
        gl.uniform1f(at('lit'), lit);
        gl.uniform1f(at('near'), near);
    };
    return {
        paint(turn, zoom, width, height) {
            const size = (zoom * Math.min(width, height)) / (2.05 * mesh.radius);
            gl.viewport(0, 0, width, height);
            gl.clearColor(1, 1, 1, 1);
            gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
            gl.uniformMatrix3fv(at('turn'), false, turn as number[]);
            gl.uniform2f(at('scale'), (2 * size) / width, (2 * size) / height);
            gl.bindBuffer(gl.ARRAY_BUFFER, facets);
            gl.vertexAttribPointer(0, 3, gl.FLOAT, false, 24, 0);
            gl.enableVertexAttribArray(1);
            gl.vertexAttribPointer(1, 3, gl.FLOAT, false, 24, 12);
            draw([0.957, 0.792, 0.502], 1, 0);
            gl.drawArrays(gl.TRIANGLES, 0, mesh.facets.length / 6);
            gl.disableVertexAttribArray(1);
            gl.bindBuffer(gl.ARRAY_BUFFER, edges);
            gl.vertexAttribPointer(0, 3, gl.FLOAT, false, 12, 0);
            draw([0.1, 0.1, 0.1], 0, 0.0008); // a hair nearer than the facets that they bound
            gl.drawArrays(gl.LINES, 0, mesh.edges.length / 3);
        },
        end() {
            gl.getExtension('WEBGL_lose_context')?.loseContext();
        },
    };
}

/** Turned by `side` about the upright and by `up` towards the viewer, as columns of a matrix; z of the part stands up. */
function turnOf(side: number, up: number): number[] {
    const [c, s, k, n] = [Math.cos(side), Math.sin(side), Math.cos(up), Math.sin(up)];
    return [c, -s * n, s * k, -s, -c * n, c * k, 0, k, n];
}

const VIEWS = [['at an angle', 0.7, 0.5], ['from the side', 0, 0], ['from the end', 0, Math.PI / 2]] as const;

export function SolidView({ bytes, title }: { bytes: ArrayBuffer; title: string }) {
    const canvas = useRef<HTMLCanvasElement>(null);
    const painter = useRef<Painter | null>(null);
    const held = useRef<readonly [number, number] | null>(null);
    const { box, width } = useWidth<HTMLDivElement>(480);
    const height = Math.round(Math.min(width * 0.8, 560));
    const [turn, setTurn] = useState<readonly [number, number]>([VIEWS[0][1], VIEWS[0][2]]);
    const [zoom, setZoom] = useState(1.15);
    const [why, setWhy] = useState('');
    useEffect(() => {
        if (canvas.current === null) return undefined;
        try {
            painter.current = painterOf(canvas.current, readStl(bytes));
            setWhy(painter.current === null ? 'This browser draws no solids; the files below can be opened elsewhere.' : '');
        } catch (trouble) {
            setWhy((trouble as Error).message);
        }
        return () => { painter.current = null; };
    }, [bytes]);
    useEffect(() => {
        if (canvas.current === null) return;
        const fine = devicePixelRatio || 1;
        canvas.current.width = Math.round(width * fine);
        canvas.current.height = Math.round(height * fine);
        painter.current?.paint(turnOf(...turn), zoom, canvas.current.width, canvas.current.height);
    }, [bytes, width, height, turn, zoom]);
    const by = (side: number, up: number): void => setTurn(([a, b]) => [a + side, Math.max(-Math.PI / 2, Math.min(Math.PI / 2, b + up))]);
    const move = (event: PointerEvent): void => {
        if (held.current === null) return;
        by((event.clientX - held.current[0]) / 140, (event.clientY - held.current[1]) / 140);
        held.current = [event.clientX, event.clientY];
    };
    const keys = (event: KeyboardEvent): void => {
        const step = { ArrowLeft: [-0.1, 0], ArrowRight: [0.1, 0], ArrowUp: [0, -0.1], ArrowDown: [0, 0.1] }[event.key];
        if (step === undefined) return;
        event.preventDefault();
        by(step[0] ?? 0, step[1] ?? 0);
    };
    return (
        <figure class="solid-view">
            <figcaption>{title}</figcaption>
            <div ref={box} class="map-paper">
                <div class="map-canvas turnable" tabIndex={0} role="group" aria-label={`${title}, to be turned by the arrow keys or by dragging`} onKeyDown={keys}>
                    <canvas ref={canvas} role="img" aria-label={title} style={{ width: `${width}px`, height: `${height}px` }}
                        onPointerDown={(e) => { held.current = [e.clientX, e.clientY]; e.currentTarget.setPointerCapture(e.pointerId); }}
                        onPointerMove={move} onPointerUp={() => { held.current = null; }} onPointerCancel={() => { held.current = null; }} />
                </div>
            </div>
            {why !== '' && <p class="calm">{why}</p>}
            <div class="buttons" role="group" aria-label="Seen">
                {VIEWS.map(([name, side, up]) => <button type="button" key={name} onClick={() => setTurn([side, up])}>{name}</button>)}
                <button type="button" aria-label="Nearer" onClick={() => setZoom((z) => Math.min(6, z * 1.3))}>+</button>
                <button type="button" aria-label="Farther" onClick={() => setZoom((z) => Math.max(0.4, z / 1.3))}>−</button>
            </div>
        </figure>
    );
}
