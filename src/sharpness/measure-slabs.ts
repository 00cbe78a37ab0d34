import type { FrameMeasure } from './measure-plan.js';

/** Measures kept in one piece of memory: some 40 MB at 24 megapixels. */
const MEASURES_A_SLAB = 40;

/**
 * Keeps the large arrays of many measures side by side in few large pieces of memory. Hundreds of small pieces, once let go, stay with the
 * process and are of no use for the large arrays of a solve; large ones go back to the system at once.
 */
export class MeasureSlabs {
  private slab: ArrayBuffer | SharedArrayBuffer = new ArrayBuffer(0);
  private at = 0;

  /** @param shared pieces that other threads can read as they are, without a copy; @param expected how many measures there will be */
  constructor(private readonly shared = false, private readonly expected = Infinity) {}

  /**
   * The same measure with its large arrays copied; the measure given can be let go. One that lies in a shared piece is given back as it is: it is
   * kept by others, and what they know of its picture goes with it.
   */
  keep(measure: FrameMeasure): FrameMeasure {
    if (measure.brightness.buffer instanceof SharedArrayBuffer) return measure;
    const { energy, brightness, clipped, registration } = measure, bytes = [...energy, brightness, registration.pixels].reduce((sum, part) => sum + aligned(part.byteLength), aligned(clipped?.byteLength ?? 0));
    if (this.at + bytes > this.slab.byteLength) { this.slab = new (this.shared ? SharedArrayBuffer : ArrayBuffer)(Math.min(MEASURES_A_SLAB, this.expected) * bytes); this.at = 0; }
    const codes = (from: Uint16Array): Uint16Array => { const to = new Uint16Array(this.slab, this.take(from.byteLength), from.length); to.set(from); return to; };
    const pixels = new Int16Array(this.slab, this.take(registration.pixels.byteLength), registration.pixels.length);
    pixels.set(registration.pixels);
    const marks = clipped && new Uint8Array(this.slab, this.take(clipped.byteLength), clipped.length);
    if (clipped) marks?.set(clipped);
    return { ...measure, energy: energy.map(codes), brightness: codes(brightness), clipped: marks, registration: { ...registration, pixels } };
  }

  private take(bytes: number): number {
    const from = this.at;
    this.at += aligned(bytes);
    return from;
  }
}

const aligned = (bytes: number): number => (bytes + 7) & ~7;
