import { useCallback, useState } from 'react';

export interface ElementSize { width: number; height: number }

/** Size of an element's content box in CSS pixels, kept up to date. 0 × 0 until it is laid out. */
export function useElementSize(): [(element: HTMLElement | null) => (() => void) | undefined, ElementSize] {
  const [size, setSize] = useState<ElementSize>({ width: 0, height: 0 });
  const measure = useCallback((element: HTMLElement | null) => {
    if (!element) return undefined;
    const observer = new ResizeObserver(([entry]) => setSize({ width: entry.contentRect.width, height: entry.contentRect.height }));
    observer.observe(element);
    return () => observer.disconnect();
  }, []);
  return [measure, size];
}
