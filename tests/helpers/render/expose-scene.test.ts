import { describe, expect, it } from 'vitest';
import { exposeScene } from './expose-scene.js';
import { BENCH_LENS, cutoffPerPixel, type Lens } from './lens.js';
import { OtfTable } from './otf-table.js';
import type { Pose, Scene, SurfaceGroup } from './scene.js';

const SIZE = 128;
const table = new OtfTable(0);
const poseAt = (focus: number): Pose => ({ focus, scale: 1, turnRad: 0, shiftPx: { row: 0, column: 0 }, shakePx: null });

function group(depth: (row: number, column: number) => number, light: (row: number, column: number) => number, cover?: (row: number, column: number) => number): SurfaceGroup {
  const fill = (f: (row: number, column: number) => number) => Float32Array.from({ length: SIZE * SIZE }, (_, i) => f(Math.floor(i / SIZE), i % SIZE));
  return { depth: fill(depth), light: [fill(light)], cover: cover ? fill(cover) : null };
}

function expose(groups: SurfaceGroup[], lens: Lens, poses: Pose[]): Float32Array[] {
  const scene: Scene = { rows: SIZE, columns: SIZE, oversample: 1, groups };
  const out: Float32Array[] = [];
  exposeScene(scene, lens, poses, table, (k, light) => { out[k] = light[0]; });
  return out;
}

/** Amplitude of the sine of `cycles` across the picture, sign by its phase. */
function sineAmplitude(picture: Float32Array, cycles: number): number {
  let sum = 0;
  for (let row = 0; row < SIZE; row++) for (let c = 0; c < SIZE; c++) sum += picture[row * SIZE + c] * Math.sin((2 * Math.PI * cycles * c) / SIZE);
  return (2 * sum) / (SIZE * SIZE);
}

describe('exposeScene', () => {
  // Source: "Defocused OTF (independent quadrature)" in optics-reference, column s = .3.
  it('dims a sine by the tabulated response', () => {
    const cycles = 16, frequency = cycles / SIZE;
    const lens = { ...BENCH_LENS, pixelPitchUm: BENCH_LENS.pixelPitchUm * (frequency / 0.3) / cutoffPerPixel(BENCH_LENS) };
    const depth = 0.07; // between two layers
    const surface = group(() => depth, (_, c) => 1 + 0.5 * Math.sin((2 * Math.PI * cycles * c) / SIZE));
    const waves = [0, 0.25, 0.5, 0.75, 1, 1.5, 2];
    const tabulated = [0.6238, 0.5016, 0.2293, 0, -0.0695, 0.0355, -0.0081];
    const pixel = Math.sin(Math.PI * frequency) / (Math.PI * frequency);
    const pictures = expose([surface], lens, waves.map((w) => poseAt(depth + 2 * w)));
    // 0.001: layers 0.2 apart joined by cubics (stated there), plus the table's last digit.
    pictures.forEach((p, k) => expect(Math.abs(sineAmplitude(p, cycles) / 0.5 / pixel - tabulated[k])).toBeLessThan(0.001));
  });

  // Source: the same table. Shown larger by 1.25, a sine of 1.25 × the frequency on the subject lies at the tabulated one on the sensor.
  it('dims by the frequency on the sensor, not on the subject, where the picture is larger', () => {
    const cycles = 20, frequency = 16 / SIZE, scale = cycles / 16;
    const lens = { ...BENCH_LENS, pixelPitchUm: BENCH_LENS.pixelPitchUm * (frequency / 0.3) / cutoffPerPixel(BENCH_LENS) };
    const surface = group(() => 0, (_, c) => 1 + 0.5 * Math.sin((2 * Math.PI * cycles * c) / SIZE));
    const waves = [0, 0.25, 0.5, 1], tabulated = [0.6238, 0.5016, 0.2293, -0.0695];
    const pixel = Math.sin(Math.PI * frequency) / (Math.PI * frequency);
    const pictures = expose([surface], lens, waves.map((w) => ({ ...poseAt(2 * w), scale })));
    // 0.001 as above; the look-up's 4096 entries joined by lines add less than 1e-4.
    pictures.forEach((p, k) => expect(Math.abs(sineAmplitude(p, cycles) / 0.5 / pixel - tabulated[k])).toBeLessThan(0.001));
  });

  it('keeps the brightness of an evenly lit bent surface (conservation of radiance)', () => {
    const ridged = group((row) => Math.abs(row - 64) / 8, () => 0.3);
    for (const picture of expose([ridged], BENCH_LENS, [poseAt(0), poseAt(5)])) for (const v of picture) expect(Math.abs(v - 0.3)).toBeLessThan(1e-5);
  });

  it('lets a near edge out of focus cover half at its own line, and hide nothing far from it (symmetry of the blur disc)', () => {
    const near = group(() => 0, () => 1, (_, c) => (c < 64 ? 1 : 0));
    const far = group(() => 4, () => 0.2);
    const [onFar] = expose([near, far], BENCH_LENS, [poseAt(4)]);
    const row = 64 * SIZE;
    // The line lies between columns 63 and 64.
    expect((onFar[row + 63] + onFar[row + 64]) / 2).toBeCloseTo(0.6, 3);
    // Disc radius 2 × defocus / cutoff = 19 px (geometric limit of the response).
    expect(Math.abs(onFar[row + 95] - 0.2)).toBeLessThan(0.01);
    expect(Math.abs(onFar[row + 32] - 1)).toBeLessThan(0.01);
  });

  // A steep surface's blur differs from point to point; before a ground of its own brightness neither it nor its edge may be told from the ground.
  it('hides an evenly lit ground behind a steep surface of the same brightness, up to its edge (conservation of radiance)', () => {
    const steep = group((_, c) => c / 12, () => 0.3, (row) => (row > 20 && row < 100 ? 1 : 0));
    const ground = group(() => 60, () => 0.3);
    for (const picture of expose([steep, ground], BENCH_LENS, [poseAt(5)])) for (const v of picture) expect(Math.abs(v - 0.3)).toBeLessThan(1e-5);
  });

  it('hides a ground altogether in the middle of a steep surface (an opaque surface lets nothing through)', () => {
    const steep = group((_, c) => Math.abs(c - 64) / 8, () => 0.3, (row) => (row > 4 && row < 124 ? 1 : 0));
    const ground = group(() => 60, () => 5);
    const [picture] = expose([steep, ground], BENCH_LENS, [poseAt(4)]);
    // 60 px from either edge: beyond radius r a diffraction pattern holds 2/(π² f_c r) of its light (Rayleigh), here .8 %; of a ground 4.7 brighter that is .04.
    for (let c = 0; c < SIZE; c++) expect(Math.abs(picture[64 * SIZE + c] - 0.3)).toBeLessThan(0.04);
  });

  it('smears a shaken frame by the sinc of its movement (Fourier transform of a straight uniform motion)', () => {
    const cycles = 16;
    const surface = group(() => 0, (_, c) => 1 + 0.5 * Math.sin((2 * Math.PI * cycles * c) / SIZE));
    const [still, shaken] = expose([surface], BENCH_LENS, [poseAt(0), { ...poseAt(0), shakePx: { row: 3, column: 4 } }]);
    expect(sineAmplitude(shaken, cycles) / sineAmplitude(still, cycles)).toBeCloseTo(Math.sin(Math.PI / 2) / (Math.PI / 2), 4);
  });
});
