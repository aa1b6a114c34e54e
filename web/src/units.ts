// SPDX-License-Identifier: GPL-3.0-or-later
// Numbers for reading. All arithmetic about coils is the server's; here only units and digits.
export type Units = 'metric' | 'inch';
type Number = number | null | undefined;

const NONE = '–';

function digits(value: number, most: number): string {
    if (value === 0) return '0';
    const before = Math.floor(Math.log10(Math.abs(value))) + 1;
    return value.toFixed(Math.min(6, Math.max(0, most - before)));
}

function scaled(value: Number, steps: readonly (readonly [number, string])[], most: number): string {
    if (value === null || value === undefined || !Number.isFinite(value)) return NONE;
    const step = steps.find(([size]) => Math.abs(value) >= size) ?? steps[steps.length - 1];
    return step === undefined ? NONE : `${digits(value / step[0], most)} ${step[1]}`;
}

export const ohm = (v: Number, n = 4): string => scaled(v, [[1e6, 'Mohm'], [1e3, 'kohm'], [1, 'ohm'], [1e-3, 'mohm']], n);
export const watt = (v: Number): string => scaled(v, [[1e3, 'kW'], [1, 'W'], [1e-3, 'mW']], 3);
export const size = (v: Number, u: Units, n = 3): string => scaled(v, u === 'inch' ? [[0.0254, 'in']] : [[1e-3, 'mm']], n);
export const run = (v: Number, u: Units): string => scaled(v, u === 'inch' ? [[0.3048, 'ft']] : [[1, 'm']], 4);
export const mass = (v: Number, u: Units): string =>
    scaled(v, u === 'inch' ? [[0.45359237, 'lb'], [0.028349523125, 'oz']] : [[1, 'kg'], [1e-3, 'g']], 3);
export const warmth = (v: Number, u: Units): string =>
    v === null || v === undefined ? NONE : u === 'inch' ? `${Math.round(v * 1.8 + 32)} °F` : `${Math.round(v)} °C`;
export const count = (v: Number): string => (v === null || v === undefined ? NONE : Math.round(v).toString());

/** Never 100 % or 0 % for what is only nearly so. */
export function share(v: Number): string {
    if (v === null || v === undefined) return NONE;
    if (v > 0.995 && v < 1) return 'over 99 %';
    if (v > 0 && v < 0.005) return 'under 1 %';
    return `${Math.round(100 * v)} %`;
}

/** Of something, plainly. */
export const ratio = (v: Number): string => (v === null || v === undefined ? NONE : `${Math.round(100 * v)} %`);

/** A build as the trade of that size's system calls it. */
export function build(size_: string, name: string): string {
    const grades: Readonly<Record<string, string>> = { single: 'grade 1', heavy: 'grade 2', triple: 'grade 3' };
    return size_.endsWith('mm') ? grades[name] ?? name : name;
}

const HANDS = ['', '', ', two in hand', ', three in hand', ', four in hand'];
export function wire(w: { size: string; build: string; material: string; in_hand: number }): string {
    return `${w.size} ${build(w.size, w.build)} ${w.material}${HANDS[w.in_hand] ?? ''}`;
}

export const seconds = (v: Number, n = 3): string => scaled(v, [[3600, 'h'], [60, 'min'], [1, 's'], [1e-3, 'ms']], n);
export const ampere = (v: Number): string => scaled(v, [[1, 'A'], [1e-3, 'mA']], 3);
export const volt = (v: Number): string => scaled(v, [[1e3, 'kV'], [1, 'V'], [1e-3, 'mV']], 3);
export const tesla = (v: Number): string => scaled(v, [[1, 'T'], [1e-3, 'mT']], 3);
export const henry = (v: Number): string => scaled(v, [[1, 'H'], [1e-3, 'mH']], 3);
export const joule = (v: Number): string => scaled(v, [[1e3, 'kJ'], [1, 'J'], [1e-3, 'mJ']], 3);
export const force = (v: Number, u: Units): string => scaled(v, u === 'inch' ? [[4.4482216152605, 'lbf']] : [[1e3, 'kN'], [1, 'N']], 3);
/** A difference of temperatures. */
export const kelvins = (v: Number, u: Units): string =>
    v === null || v === undefined ? NONE : u === 'inch' ? `${Math.round(1.8 * v)} °F` : `${Math.round(v)} K`;

/** A scale to draw along: SI times `per`, plus `more`, is what is written, in `unit`. */
export interface Scale { readonly per: number; readonly more: number; readonly unit: string }
const scaleOf = (most: number, steps: readonly (readonly [number, string])[]): Scale => {
    const step = steps.find(([one]) => most >= 1.2 * one) ?? steps[steps.length - 1];
    return { per: 1 / (step?.[0] ?? 1), more: 0, unit: step?.[1] ?? '' };
};
export const timeScale = (most: number): Scale => scaleOf(most, [[3600, 'h'], [60, 'min'], [1, 's'], [1e-3, 'ms']]);
export const currentScale = (most: number): Scale => scaleOf(most, [[1, 'A'], [1e-3, 'mA']]);
export const voltScale = (most: number): Scale => scaleOf(most, [[1e3, 'kV'], [1, 'V'], [1e-3, 'mV']]);
export const forceScale = (most: number, u: Units): Scale => (u === 'inch' ? scaleOf(most, [[4.4482216152605, 'lbf']]) : scaleOf(most, [[1e3, 'kN'], [1, 'N']]));
export const lengthScale = (u: Units): Scale => (u === 'inch' ? { per: 1 / 0.0254, more: 0, unit: 'in' } : { per: 1e3, more: 0, unit: 'mm' });
export const warmthScale = (u: Units): Scale => (u === 'inch' ? { per: 1.8, more: 32, unit: '°F' } : { per: 1, more: 0, unit: '°C' });
export const teslaScale: Scale = { per: 1, more: 0, unit: 'T' };
