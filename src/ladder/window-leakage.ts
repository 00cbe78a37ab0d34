import { withKernel } from './fast-kernel.js';

/** Edge of the windows of sharpness/spectrum-windows.ts, and how finely their frequencies are divided here. */
const SIZE_PX = 32;
export const PARTS_PER_CELL = 8;
/** Radii, in parts of a frequency cell, that a window's bins can see anything of. */
export const RADII = 24 * PARTS_PER_CELL;

/** How far a Hann window leaks, in frequency cells: three sidelobes hold all but 1e-4 of it. */
const REACH_CELLS = 3;
const OFFSETS_PER_CELL = 4;

/** Power a Hann window of {@link SIZE_PX} lets through at a distance in frequency cells (Harris 1978, sum of three Dirichlet kernels). */
function hannPower(cells: number): number {
  const dirichlet = (x: number): number => (Math.abs(x) < 1e-9 ? 1 : Math.sin(Math.PI * x) / (SIZE_PX * Math.sin((Math.PI * x) / SIZE_PX)));
  return (0.5 * dirichlet(cells) + 0.25 * (dirichlet(cells - 1) + dirichlet(cells + 1))) ** 2;
}

let made: Float64Array[] | null = null;

/**
 * What each radial bin of a Hann window sees of an isotropic spectrum, by radius: bin × radius, each bin's sum 1. Bin i gathers the frequency
 * cells at a distance of i … i + 1 cells from the origin.
 */
export function windowLeakage(): readonly Float64Array[] {
  if (made) return made;
  const offsets = Float64Array.from({ length: 2 * REACH_CELLS * OFFSETS_PER_CELL + 1 }, (_, i) => i / OFFSETS_PER_CELL - REACH_CELLS), power = offsets.map(hannPower);
  const seen = fastLeakage(offsets, power) ?? plainLeakage(offsets, power);
  made = seen.map((line) => { const sum = line.reduce((a, b) => a + b, 0); return line.map((v) => v / sum); });
  return made;
}

/** Bin × radius, not yet divided by their sums. @param power what leaks so far along one axis */
export function plainLeakage(offsets: Float64Array, power: Float64Array): Float64Array[] {
  const bins = SIZE_PX / 2, seen = Array.from({ length: bins }, () => new Float64Array(RADII));
  for (let x = 0; x <= bins; x++) for (let y = -bins; y < bins; y++) {
    const bin = Math.floor(Math.hypot(x, y));
    if (bin >= bins) continue;
    for (let i = 0; i < offsets.length; i++) for (let j = 0; j < offsets.length; j++) {
      const radius = Math.round(PARTS_PER_CELL * Math.sqrt((x + offsets[i]) ** 2 + (y + offsets[j]) ** 2));
      if (radius < RADII) seen[bin][radius] += power[i] * power[j];
    }
  }
  return seen;
}

/** The same in WebAssembly; null where there is none, or no room. */
export function fastLeakage(offsets: Float64Array, power: Float64Array): Float64Array[] | null {
  return withKernel(({ kernel, arena }) => {
    const bins = SIZE_PX / 2, offsetsAt = arena.take(8 * offsets.length), powerAt = arena.take(8 * power.length), outAt = arena.take(8 * bins * RADII), { buffer } = kernel.memory;
    new Float64Array(buffer, offsetsAt, offsets.length).set(offsets);
    new Float64Array(buffer, powerAt, power.length).set(power);
    kernel.leak(SIZE_PX, offsetsAt, powerAt, offsets.length, PARTS_PER_CELL, RADII, outAt);
    return Array.from({ length: bins }, (_, bin) => new Float64Array(buffer, outAt + 8 * bin * RADII, RADII).slice());
  });
}

let rings: { from: number[]; to: number[] } | null = null;

/** Each bin sees a narrow ring of radii: from … to, the latter not included. */
export function leakageRings(): { from: number[]; to: number[] } {
  const leakage = windowLeakage();
  return rings ??= { from: leakage.map((line) => line.findIndex((v) => v > 0)), to: leakage.map((line) => line.findLastIndex((v) => v > 0) + 1) };
}
