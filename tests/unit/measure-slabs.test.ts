import { describe, expect, it } from 'vitest';
import type { FrameMeasure } from '../../src/sharpness/measure-plan.js';
import { MeasureSlabs } from '../../src/sharpness/measure-slabs.js';
import { noise } from './io-helpers/picture.js';

function measure(seed: number, clipped: boolean): FrameMeasure {
  const random = noise(seed), codes = (length: number): Uint16Array => Uint16Array.from({ length }, () => 65_535 * random());
  return {
    rows: 24, columns: 40, cellRows: 3, cellColumns: 5, energy: [codes(15), codes(15), codes(15)], brightness: codes(15), clipped: clipped ? Uint8Array.from(codes(15)) : null, meanRoot: random(),
    registration: { rows: 3, columns: 5, pixels: Int16Array.from(codes(15)) }, spectra: [null, { sizePx: 32, row: new Float32Array(1), column: new Float32Array(1), bins: 16, power: new Float32Array(16) }],
  };
}

describe('MeasureSlabs', () => {
  it('keeps every number of every measure, over the end of a slab', () => {
    const slabs = new MeasureSlabs(), all = Array.from({ length: 130 }, (_, i) => measure(i, i % 3 === 0)), kept = all.map((m) => slabs.keep(m));
    expect(kept).toEqual(all);
    expect(new Set(kept.map((m) => m.energy[0].buffer)).size).toBeLessThan(8);
  });
  it('holds on to nothing of what it was given', () => {
    const given = measure(1, true), before = structuredClone(given), kept = new MeasureSlabs().keep(given);
    for (const part of [...given.energy, given.brightness, given.clipped!, given.registration.pixels]) part.fill(0);
    expect(kept).toEqual(before);
  });
});
