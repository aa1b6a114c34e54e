// SPDX-License-Identifier: GPL-3.0-or-later
// A job that the server keeps in its book: every change is sent as the next version, on top of the one it started from.
// Until the server has said that it is on the disk, the text also lies in this browser as a draft, so that neither a
// server that was killed nor a page that was closed loses a letter.
import { type BookJob, type Conflict, type Saved } from './api';
import { getJson, postJson, Refusal } from './ask';

const PAUSE_MS = 300;   // after the last key
const LONGEST_MS = 1500; // while typing goes on
const AGAIN_MS = 2000;  // where the server does not answer
const KEEPALIVE_MOST = 60_000; // bytes a page may still send while it closes [Fetch, keepalive]
const PREFIX = 'coilwright/draft/';

export type Keeping = 'kept' | 'busy' | 'not-kept' | 'asking';

interface Draft {
    readonly text: string;
    readonly version: number; // that it started from
    readonly changed: number;
}

export const jobNumber = (id: string): number | null => {
    const found = /^job-(\d{1,15})$/.exec(id);
    return found === null ? null : Number(found[1]);
};
export const idOf = (number: number): string => `job-${number}`;

export const latest = (job: BookJob): number => job.versions[job.versions.length - 1]?.version ?? 0;

const TAB = Array.from(crypto.getRandomValues(new Uint8Array(6)), (b) => b.toString(16).padStart(2, '0')).join('');

/** Takes the newest draft of a job out of the browser, whichever tab left it. One that is still being typed there comes
 *  back with its next key, and the book then asks. */
function takeDraft(uid: string): Draft | null {
    let newest: Draft | null = null;
    for (let i = localStorage.length - 1; i >= 0; i--) {
        const key = localStorage.key(i) ?? '';
        if (!key.startsWith(`${PREFIX}${uid}/`)) continue;
        try {
            const draft = JSON.parse(localStorage.getItem(key) ?? '') as Draft;
            if (newest === null || draft.changed > newest.changed) newest = draft;
        } catch {
            // half a draft is none
        }
        localStorage.removeItem(key);
    }
    return newest;
}

export class Keeper {
    text: string;
    keeping: Keeping = 'kept';
    why = '';
    conflict: Conflict | null = null;
    /** Somebody else's newer version was taken over, as nothing here was unsaved. */
    onTaken: (text: string) => void = () => undefined;
    onChange: () => void = () => undefined;
    private saved: string;
    private version: number;
    private timer = 0;
    private since = 0; // of the oldest change that is not sent
    private busy = false;
    private readonly draftKey: string;
    private readonly channel = 'BroadcastChannel' in self ? new BroadcastChannel('coilwright') : null;

    constructor(readonly job: BookJob) {
        this.draftKey = `${PREFIX}${job.uid}/${TAB}`;
        this.saved = job.yaml;
        this.version = latest(job);
        this.text = job.yaml;
        const draft = takeDraft(job.uid);
        if (draft !== null && draft.text !== job.yaml) {
            this.text = draft.text;
            this.version = draft.version;
            this.putDraft();
            this.keeping = 'busy';
            void this.flush();
        }
        this.channel?.addEventListener('message', (e: MessageEvent<{ uid: string }>) => { if (e.data.uid === job.uid) void this.look(); });
        document.addEventListener('visibilitychange', this.seen);
        addEventListener('pagehide', this.leave);
    }

    close(): void {
        this.leave();
        clearTimeout(this.timer);
        this.channel?.close();
        document.removeEventListener('visibilitychange', this.seen);
        removeEventListener('pagehide', this.leave);
        this.onChange = () => undefined;
        this.onTaken = () => undefined;
    }

    type(text: string): void {
        if (text === this.text) return;
        this.text = text;
        this.putDraft();
        if (this.conflict !== null) return;
        if (this.since === 0) this.since = Date.now();
        this.tell('busy', '');
        this.later(Math.min(PAUSE_MS, Math.max(0, this.since + LONGEST_MS - Date.now())));
    }

    /** The answer to the question which of two it is to be. The other stays in the book as a version of its own. */
    decide(whose: 'mine' | 'theirs'): void {
        const { conflict } = this;
        if (conflict === null) return;
        this.conflict = null;
        this.version = conflict.version;
        this.saved = conflict.yaml;
        if (whose === 'theirs') {
            this.text = conflict.yaml;
            this.dropDraft();
            this.tell('kept', '');
            this.onTaken(conflict.yaml);
        } else {
            this.putDraft();
            this.tell('busy', '');
            void this.flush();
        }
    }

    private tell(keeping: Keeping, why: string): void {
        this.keeping = keeping;
        this.why = why;
        this.onChange();
    }

    private later(wait: number): void {
        clearTimeout(this.timer);
        this.timer = setTimeout(() => void this.flush(), wait) as unknown as number;
    }

    private putDraft(): void {
        try {
            localStorage.setItem(this.draftKey, JSON.stringify({ text: this.text, version: this.version, changed: Date.now() }));
        } catch {
            // the book still gets it
        }
    }

    private dropDraft(): void {
        localStorage.removeItem(this.draftKey);
    }

    private request(): string {
        return JSON.stringify({ job: this.job.job, on_version: this.version, yaml: this.text });
    }

    private async flush(): Promise<void> {
        if (this.busy || this.conflict !== null || this.text === this.saved) {
            if (this.text === this.saved && this.conflict === null && !this.busy) {
                this.dropDraft();
                this.tell('kept', '');
            }
            return;
        }
        const sent = this.text;
        this.busy = true;
        this.since = 0;
        try {
            const { version } = await postJson<Saved>('/api/book/save', this.request());
            this.version = version;
            this.saved = sent;
            if (this.text === sent) this.dropDraft();
            else this.putDraft(); // which starts from this version now
            this.tell(this.text === sent ? 'kept' : 'busy', '');
            this.channel?.postMessage({ uid: this.job.uid });
            if (this.text !== sent) this.later(PAUSE_MS);
        } catch (trouble) {
            this.failed(trouble as Error);
        } finally {
            this.busy = false;
        }
    }

    private failed(trouble: Error): void {
        if (trouble instanceof Refusal && trouble.status === 409) {
            const theirs = trouble.body as unknown as Conflict;
            if (theirs.yaml === this.text) { // the answer to an earlier save was lost, not the save
                this.version = theirs.version;
                this.saved = theirs.yaml;
                this.dropDraft();
                this.tell('kept', '');
                return;
            }
            this.conflict = theirs;
            this.tell('asking', '');
            return;
        }
        this.tell('not-kept', trouble instanceof Refusal ? trouble.message : '');
        this.later(AGAIN_MS);
    }

    /** Is there a newer version? Only asked for where nothing here is unsaved. */
    private async look(): Promise<void> {
        if (this.busy || this.conflict !== null || this.text !== this.saved) return;
        try {
            const now = await getJson<BookJob>(`/api/book/job?job=${this.job.job}`);
            if (latest(now) <= this.version || this.text !== this.saved) return;
            this.version = latest(now);
            this.saved = now.yaml;
            this.text = now.yaml;
            this.onTaken(now.yaml);
        } catch {
            // it will be asked again
        }
    }

    private readonly seen = (): void => {
        if (document.visibilityState === 'visible') void this.look();
    };

    private readonly leave = (): void => {
        if (this.text === this.saved || this.conflict !== null || this.busy) return;
        const body = this.request();
        if (body.length <= KEEPALIVE_MOST)
            void fetch('/api/book/save', { method: 'POST', keepalive: true, headers: { 'Content-Type': 'application/json' }, body }).catch(() => undefined);
    };
}
