import { useCallback, useState } from 'react';

export interface ElementSize { width: number; height: number; /** How much larger than usual the text is: drawings give it so much more room. */ scale: number }

/** Running text on a screen of usual size; the style sheet enlarges it on large ones. */
const USUAL_TEXT_PX = 15;

/** Size of an element's content box in CSS pixels and of the text in it, kept up to date. 0 × 0 until it is laid out. */
export function useElementSize(): [(element: HTMLElement | null) => (() => void) | undefined, ElementSize] {
  const [size, setSize] = useState<ElementSize>({ width: 0, height: 0, scale: 1 });
  const measure = useCallback((element: HTMLElement | null) => {
    if (!element) return undefined;
    const observer = new ResizeObserver(([entry]) => setSize({ width: entry.contentRect.width, height: entry.contentRect.height, scale: parseFloat(getComputedStyle(document.documentElement).fontSize) / USUAL_TEXT_PX }));
    observer.observe(element);
    return () => observer.disconnect();
  }, []);
  return [measure, size];
}
