import { luminanceFromPixels } from '../image/luminance.js';
import { compactMeasure } from '../sharpness/compact-measure.js';
import { measureFrame } from '../sharpness/measure-frame.js';
import type { FrameMeasure, MeasurePlan } from '../sharpness/measure-plan.js';
import { fastMeasure } from './fast-measure.js';
import type { Arena, Filters } from './filters.js';
import { pixelRows } from './pixel-rows.js';

export interface FastFilters { filters: Filters; arena: Arena }

/** Decoded pixels; `shrink`: source pixels per axis that the decoder has averaged already. */
export interface Pixels { pixels: Uint8Array | Uint16Array; rows: number; columns: number; channels: number; shrink: number }

/** Measures decoded pixels: by the fast filters where they are there and have room for them, else by the plain ones, which give the same numbers slower. */
export function measurePixels(fast: FastFilters | null, { pixels, rows, columns, channels, shrink }: Pixels, plan: MeasurePlan): FrameMeasure {
  const bin = plan.bin / shrink;
  if (fast && pixels instanceof Uint8Array) try {
    const { filters, arena } = fast;
    arena.reset();
    return fastMeasure(filters, arena, pixelRows(filters, arena, pixels, rows, columns, channels, bin), plan);
  } catch (error) {
    // The platform grants no more memory for the filters.
    if (!(error instanceof RangeError)) throw error;
  }
  return compactMeasure(measureFrame(luminanceFromPixels(pixels, rows, columns, channels, bin), plan));
}
