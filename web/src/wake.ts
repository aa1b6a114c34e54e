// SPDX-License-Identifier: GPL-3.0-or-later
// Keeps the screen on while a view is open, where the browser can; it lets go by itself when the page is hidden.
import { useEffect, useState } from 'preact/hooks';

/** Whether the screen is held on. */
export function useWakeLock(): boolean {
    const [held, setHeld] = useState(false);
    useEffect(() => {
        let lock: WakeLockSentinel | null = null;
        let over = false;
        const hold = async (): Promise<void> => {
            if (document.visibilityState !== 'visible' || !('wakeLock' in navigator)) return;
            try {
                lock = await navigator.wakeLock.request('screen');
                if (over) void lock.release();
                else setHeld(true);
                lock.addEventListener('release', () => setHeld(false));
            } catch {
                setHeld(false); // low battery, or not allowed: the place is kept all the same
            }
        };
        const seen = (): void => void hold();
        void hold();
        document.addEventListener('visibilitychange', seen);
        return () => {
            over = true;
            document.removeEventListener('visibilitychange', seen);
            void lock?.release();
        };
    }, []);
    return held;
}
