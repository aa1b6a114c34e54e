// SPDX-License-Identifier: GPL-3.0-or-later
// How wide a box is now: pictures are drawn to it, so that their letters keep their size.
import type { RefObject } from 'preact';
import { useLayoutEffect, useRef, useState } from 'preact/hooks';

export function useWidth<T extends Element>(first: number): { box: RefObject<T | null>; width: number } {
    const box = useRef<T>(null);
    const [width, setWidth] = useState(first);
    useLayoutEffect(() => {
        const at = box.current;
        if (!at) return undefined;
        setWidth(at.clientWidth || first);
        const watch = new ResizeObserver(() => setWidth(at.clientWidth || first));
        watch.observe(at);
        return () => watch.disconnect();
    }, []);
    return { box, width };
}
