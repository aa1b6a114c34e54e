// SPDX-License-Identifier: GPL-3.0-or-later
// Jobs on this machine, in the browser's own store: written at every key, and shared between tabs.
const PREFIX = 'coilwright/job/';
const PLACE = 'coilwright/place/';

export interface Kept {
    readonly text: string;
    readonly changed: number; // ms since 1970
}

export function load(id: string): Kept | null {
    try {
        const found = localStorage.getItem(PREFIX + id);
        return found === null ? null : (JSON.parse(found) as Kept);
    } catch {
        return null;
    }
}

/** False where the browser keeps nothing: the page then says so. */
export function save(id: string, text: string): boolean {
    try {
        localStorage.setItem(PREFIX + id, JSON.stringify({ text, changed: Date.now() }));
        return true;
    } catch {
        return false;
    }
}

export function forget(id: string): void {
    localStorage.removeItem(PREFIX + id);
    localStorage.removeItem(PLACE + id);
}

/** Every job, newest first. */
export function list(): { id: string; kept: Kept }[] {
    const found: { id: string; kept: Kept }[] = [];
    for (let i = 0; i < localStorage.length; i++) {
        const key = localStorage.key(i);
        const id = key?.startsWith(PREFIX) ? key.slice(PREFIX.length) : null;
        const kept = id === null ? null : load(id);
        if (id !== null && kept !== null) found.push({ id, kept });
    }
    return found.sort((a, b) => b.kept.changed - a.kept.changed);
}

export function newId(): string {
    return Array.from(crypto.getRandomValues(new Uint8Array(5)), (b) => 'abcdefghjkmnpqrstuvwxyz23456789'[b % 31]).join('');
}

/** Calls back when another tab has changed the job. */
export function watch(id: string, changed: (text: string) => void): () => void {
    const listener = (event: StorageEvent): void => {
        if (event.key === PREFIX + id && event.newValue !== null) changed((JSON.parse(event.newValue) as Kept).text);
    };
    addEventListener('storage', listener);
    return () => removeEventListener('storage', listener);
}

/** The step at the lathe. */
export const loadPlace = (id: string): number => Number(localStorage.getItem(PLACE + id) ?? 0);
export function savePlace(id: string, step: number): void {
    try {
        localStorage.setItem(PLACE + id, String(step));
    } catch {
        // the address still holds it
    }
}
