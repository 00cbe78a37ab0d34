import { withKernel } from './fast-kernel.js';
import { BIN_DOF, BINS, CURVE_ERROR, mirror, NOISE_ERROR, WHISPER, type SharedSums } from './plain-shared-sums.js';
import type { RefinedLadder } from './refine.js';
import type { SolveTiles } from './solve-tiles.js';
import type { TileStack } from './tile-stack.js';

/** Numbers of `Shared` in simd/assembly/shared-errors.ts: f64, then i32. */
const DOUBLES = 4, INTS = 26;

/** plainSharedSums in WebAssembly; null where there is none, or no room. */
export function fastSharedSums(stack: Pick<TileStack, 'noise'>, tiles: SolveTiles, { trace, state, freeGain }: Pick<RefinedLadder, 'trace' | 'state' | 'freeGain'>): SharedSums | null {
  return withKernel(({ kernel, arena }) => {
    const { count, frames } = tiles, n = trace.unknowns, bands = tiles.energy.length, own = 1 + bands, patterns = bands * (BINS + 1), entries = trace.entries!;
    const free = tiles.energy.flatMap((_, b) => Array.from({ length: frames }, (_, k) => (freeGain.includes(k) ? frames + b * freeGain.length + freeGain.indexOf(k) : -1)));
    const doubles = [state.z, state.depth, state.lnAmplitude.map((line) => line.map(Math.exp)), stack.noise.slice(0, bands)].map(joined);
    const singles = [tiles.energy, entries.residual, entries.robust, entries.byZ, entries.byLnAmplitude, entries.sigma];
    const jobAt = arena.take(8 * DOUBLES + 4 * INTS), freeAt = arena.take(4 * free.length), doublesAt = doubles.map((list) => arena.take(8 * list.length)), singlesAt = singles.map(() => arena.take(4 * bands * count * frames));
    const couplingAt = arena.take(8 * entries.coupling.length), tileNormalAt = arena.take(8 * entries.tileNormal.length), outAt = [patterns * patterns, patterns * n, patterns].map((length) => arena.take(8 * length));
    const roomAt = [8 * patterns * own, 8 * patterns * own, 8 * own * own, 4 * patterns, 4 * patterns].map((bytes) => arena.take(bytes)), { buffer } = kernel.memory;
    new Float64Array(buffer, jobAt, DOUBLES).set([BIN_DOF, CURVE_ERROR, NOISE_ERROR, WHISPER]);
    const fields = [count, frames, bands, n, BINS, freeAt, ...doublesAt, ...singlesAt, couplingAt, tileNormalAt, ...outAt, ...roomAt];
    new Int32Array(buffer, jobAt + 8 * DOUBLES, INTS).set(fields);
    new Int32Array(buffer, freeAt, free.length).set(free);
    doubles.forEach((list, i) => new Float64Array(buffer, doublesAt[i], list.length).set(list));
    singles.forEach((lines, i) => lines.forEach((line, b) => new Float32Array(buffer, singlesAt[i] + 4 * b * count * frames, count * frames).set(line)));
    new Float64Array(buffer, couplingAt, entries.coupling.length).set(entries.coupling);
    new Float64Array(buffer, tileNormalAt, entries.tileNormal.length).set(entries.tileNormal);
    const [normal, coupling, right] = [patterns * patterns, patterns * n, patterns].map((length, i) => new Float64Array(buffer, outAt[i], length).fill(0));
    new Float64Array(buffer, roomAt[0], patterns * own).fill(0);
    new Int32Array(buffer, roomAt[4], patterns).fill(0);
    kernel.addShared(jobAt);
    const sums = { normal: normal.slice(), coupling: coupling.slice(), right: right.slice() };
    mirror(sums.normal, patterns);
    return sums;
  });
}

function joined(lines: Float64Array | readonly Float64Array[]): Float64Array {
  if (lines instanceof Float64Array) return lines;
  const out = new Float64Array(lines.reduce((sum, line) => sum + line.length, 0));
  lines.reduce((at, line) => { out.set(line, at); return at + line.length; }, 0);
  return out;
}
