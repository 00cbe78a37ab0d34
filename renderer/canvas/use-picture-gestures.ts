import { useEffect, type RefObject } from 'react';

export interface GestureHandlers {
  /** True: one pointer draws a line instead of panning. */
  draws(): boolean;
  line(from: { x: number; y: number }, to: { x: number; y: number }, done: boolean): void;
  pan(dx: number, dy: number): void;
  zoomAt(factor: number, x: number, y: number): void;
  tap(x: number, y: number): void;
  doubleTap(x: number, y: number): void;
  hover(x: number | null, y: number | null): void;
}

const TAP_MOVES_PX = 5;

/** Mouse, pen and touch on the picture: drag pans (with Shift it draws a line), wheel and two fingers zoom, a tap picks, a double tap goes to 100 % and back. */
export function usePictureGestures(element: RefObject<HTMLElement | null>, handlers: GestureHandlers): void {
  useEffect(() => {
    const target = element.current;
    if (!target) return undefined;
    const pointers = new Map<number, { x: number; y: number }>();
    let moved = 0, start: { x: number; y: number } | null = null;
    const at = (event: MouseEvent): { x: number; y: number } => {
      const box = target.getBoundingClientRect();
      return { x: event.clientX - box.left, y: event.clientY - box.top };
    };
    const middle = (): { x: number; y: number; apart: number } => {
      const [a, b] = [...pointers.values()];
      return b ? { x: (a.x + b.x) / 2, y: (a.y + b.y) / 2, apart: Math.hypot(a.x - b.x, a.y - b.y) } : { ...a, apart: 0 };
    };
    const down = (event: PointerEvent): void => {
      if (event.button !== 0) return;
      target.setPointerCapture(event.pointerId);
      if (pointers.size === 0) { moved = 0; start = handlers.draws() || event.shiftKey ? at(event) : null; }
      else start = null;
      pointers.set(event.pointerId, at(event));
    };
    const move = (event: PointerEvent): void => {
      const place = at(event);
      if (!pointers.has(event.pointerId)) { handlers.hover(place.x, place.y); return; }
      const before = middle();
      pointers.set(event.pointerId, place);
      const after = middle();
      moved += Math.hypot(after.x - before.x, after.y - before.y) + Math.abs(after.apart - before.apart);
      if (moved < TAP_MOVES_PX) return;
      if (start) { handlers.line(start, place, false); return; }
      handlers.pan(after.x - before.x, after.y - before.y);
      if (before.apart > 0 && after.apart > 0) handlers.zoomAt(after.apart / before.apart, after.x, after.y);
    };
    const up = (event: PointerEvent): void => {
      const place = pointers.get(event.pointerId);
      pointers.delete(event.pointerId);
      if (start && place && moved >= TAP_MOVES_PX) handlers.line(start, at(event), true);
      start = null;
      if (place && moved < TAP_MOVES_PX && event.type === 'pointerup') handlers.tap(place.x, place.y);
    };
    const wheel = (event: WheelEvent): void => {
      event.preventDefault();
      const place = at(event);
      handlers.zoomAt(Math.exp(-event.deltaY * (event.deltaMode === 1 ? 0.05 : 0.0016) * (event.ctrlKey ? 5 : 1)), place.x, place.y);
    };
    const doubled = (event: MouseEvent): void => { const place = at(event); handlers.doubleTap(place.x, place.y); };
    const left = (): void => handlers.hover(null, null);
    target.addEventListener('pointerdown', down);
    target.addEventListener('pointermove', move);
    target.addEventListener('pointerup', up);
    target.addEventListener('pointercancel', up);
    target.addEventListener('pointerleave', left);
    target.addEventListener('wheel', wheel, { passive: false });
    target.addEventListener('dblclick', doubled);
    return () => {
      target.removeEventListener('pointerdown', down);
      target.removeEventListener('pointermove', move);
      target.removeEventListener('pointerup', up);
      target.removeEventListener('pointercancel', up);
      target.removeEventListener('pointerleave', left);
      target.removeEventListener('wheel', wheel);
      target.removeEventListener('dblclick', doubled);
    };
  }, [element, handlers]);
}
