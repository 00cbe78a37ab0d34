import { SPREADS, spreadIndex, type FocusCurve } from './focus-curve.js';
import { withKernel, type FastKernel } from './fast-kernel.js';
import type { LadderState, SolveSettings } from './joint-solve.js';
import { DEFOCUS_COUNT } from './otf-table.js';
import { HUBER, LAST, NEGLIGIBLE, PER_STEP } from './plain-tile-pass.js';
import { MODEL_ERROR, type SolveTiles } from './solve-tiles.js';
import type { SolveEntries, TakenByTiles, TilePass, TileSums } from './tile-pass.js';
import { varianceOfDepth } from './variance-of-depth.js';

/** Fields of `Solve` in simd/assembly/joint-solve.ts, in its order. */
const FIELDS = ['tiles', 'frames', 'bands', 'free', 'slots', 'spreadBytes', 'curveBytes', 'root', 'weight', 'range', 'reach', 'curve', 'kinship', 'spread', 'fraction', 'around',
  'chance', 'noise', 'noisePart', 'gain', 'z', 'step', 'freeFrame', 'pull', 'prior', 'bend', 'depth', 'nextDepth', 'ln', 'nextLn', 'system', 'nextSystem', 'sums', 'schur', 'schurRight',
  'whitened', 'line', 'residual', 'robust', 'byZ', 'byLn', 'sigma', 'misfit', 'laws'] as const;
type Field = (typeof FIELDS)[number];

const LANES = 4;
/** Most bands whose amplitudes fit beside the depth into a tile's four unknowns. */
const MOST_BANDS = LANES - 1;
/** A tile's own numbers behind its coupling lines: 4 × 4 normal matrix, 4 right side, 4 × 4 factor. */
const OWN_BYTES = 8 * (16 + 4 + 16);
const inLanes = (n: number): number => Math.ceil(n / LANES) * LANES;

/** The tiles' part of a joint solve in SIMD WebAssembly; null where there is none, or no room. One at a time: the next one takes the same memory. */
export function fastTilePass(curves: readonly FocusCurve[], tiles: SolveTiles, start: LadderState, settings: SolveSettings): TilePass | null {
  return curves.length > MOST_BANDS ? null : withKernel((fast) => passIn(fast, curves, tiles, start, settings));
}

function passIn({ kernel, arena }: FastKernel, curves: readonly FocusCurve[], tiles: SolveTiles, start: LadderState, settings: SolveSettings): TilePass {
  const { count, frames } = tiles, bands = curves.length, free = settings.freeGain, unknowns = frames + bands * free.length, own = 1 + bands;
  const wide = inLanes(frames), slots = wide + inLanes(bands * free.length), entries = bands * count * wide, systemBytesATile = LANES * slots * 4 + OWN_BYTES, systemBytes = count * systemBytesATile;
  const prior = settings.ratioPrior;
  const sizes: Partial<Record<Field, number>> = {
    root: 4 * entries, weight: 4 * entries, range: 8 * bands * count, reach: 8 * count, curve: bands * SPREADS.length * DEFOCUS_COUNT * 16, kinship: 4 * bands * DEFOCUS_COUNT,
    spread: 4 * bands * count, fraction: 4 * bands * count, around: 4 * bands * count, chance: 4 * bands, noise: 4 * bands * wide, noisePart: 4 * bands * wide, gain: 4 * bands * wide,
    z: 8 * wide, step: 8 * slots, freeFrame: 4 * free.length, pull: 8 * count, prior: 16 * bands, bend: 8 * bands * count, depth: 8 * count, nextDepth: 8 * count, ln: 8 * bands * count, nextLn: 8 * bands * count,
    system: systemBytes, nextSystem: systemBytes, sums: 8 * (2 + 2 * slots + bands * free.length), schur: 8 * slots * slots, schurRight: 8 * slots, whitened: 16 * slots, line: 12 * wide,
    misfit: 8 * count, laws: 8 * 4,
    ...(settings.entries ? { residual: 4 * entries, robust: 4 * entries, byZ: 4 * entries, byLn: 4 * entries, sigma: 4 * entries } : {}),
  };
  const job = arena.take(4 * FIELDS.length), at: Record<Field, number> = Object.fromEntries(FIELDS.map((field) => [field, 0])) as Record<Field, number>;
  Object.assign(at, { tiles: count, frames: wide, bands, free: free.length, slots, spreadBytes: DEFOCUS_COUNT * 16, curveBytes: SPREADS.length * DEFOCUS_COUNT * 16 });
  for (const [field, bytes] of Object.entries(sizes)) at[field as Field] = arena.take(bytes);
  // Where entries are brought together to be handed back.
  const packedAt = settings.entries ? arena.take(4 * count * Math.max(frames, own * unknowns)) : 0, normalAt = settings.entries ? arena.take(8 * count * own * own) : 0;
  // Memory grows only while room is taken: from here on the views hold.
  const { buffer } = kernel.memory;
  const singles = (field: Field, length: number): Float32Array => new Float32Array(buffer, at[field], length), doubles = (field: Field, length: number): Float64Array => new Float64Array(buffer, at[field], length);
  const describe = (): void => new Int32Array(buffer, job, FIELDS.length).set(FIELDS.map((field) => at[field]));

  doubles('laws', 4).set([MODEL_ERROR, HUBER, PER_STEP, LAST]);
  new Int32Array(buffer, at.freeFrame, free.length).set(free);
  packCurves(curves, singles('curve', bands * SPREADS.length * DEFOCUS_COUNT * 4), singles('kinship', bands * DEFOCUS_COUNT));
  packEntries();
  const spread = new Int32Array(buffer, at.spread, bands * count), fraction = singles('fraction', bands * count), around = singles('around', bands * count).fill(0), chance = singles('chance', bands).fill(0);
  const noise = singles('noise', bands * wide).fill(1), noisePart = singles('noisePart', bands * wide).fill(1), gains = singles('gain', bands * wide).fill(1);
  for (let b = 0; b < bands; b++) {
    for (let t = 0; t < count; t++) { const s = spreadIndex(start.spread[b][t]); spread[b * count + t] = s.index * DEFOCUS_COUNT * 16; fraction[b * count + t] = s.fraction; }
    if (settings.local) { around.set(settings.local.energy[b], b * count); chance[b] = settings.local.chance[b]; }
    for (let k = 0; k < frames; k++) { noise[b * wide + k] = settings.noise[b][k]; noisePart[b * wide + k] = settings.noise[b][k] / settings.components[b]; }
  }
  doubles('pull', count).set(prior ? prior.pull : new Float64Array(count));
  doubles('prior', 2 * bands).fill(0).set(prior ? prior.mean.flatMap((mean, b) => [mean, 1 / prior.spread[b] ** 2]) : []);
  doubles('depth', count).set(start.depth);
  start.bend.forEach((all, b) => doubles('bend', bands * count).set(all, b * count));
  start.lnAmplitude.forEach((ln, b) => doubles('ln', bands * count).set(ln, b * count));
  const place = doubles('z', wide).fill(0), steps = doubles('step', slots).fill(0);
  const placeFrames = (z: Float64Array, gain: Float64Array): void => {
    place.set(z);
    for (let b = 0; b < bands; b++) for (const k of free) gains[b * wide + k] = Math.exp(2 * gain[b * frames + k]);
  };
  let acceptedZ = start.z.slice(), acceptedGain = start.gain.slice(), triedZ = acceptedZ, triedGain = acceptedGain;
  describe();
  kernel.prepare(job, NEGLIGIBLE);

  /** Energies and weights, filled up to fours. */
  function packEntries(): void {
    const root = singles('root', entries), weight = singles('weight', entries);
    for (let b = 0; b < bands; b++) {
      const pad = (to: Float32Array, from: Float32Array): void => {
        if (wide === frames) { to.set(from, b * count * wide); return; }
        for (let t = 0, i = 0, o = b * count * wide; t < count; t++) {
          for (let k = 0; k < frames; k++) to[o++] = from[i++];
          for (let k = frames; k < wide; k++) to[o++] = 0;
        }
      };
      pad(root, tiles.energy[b]);
      pad(weight, settings.weight[b]);
    }
  }

  /** Place of an unknown among the slots. */
  const slotOf = (u: number): number => (u < frames ? u : u - frames + wide);
  const spared = (from: Float64Array): Float64Array => Float64Array.from({ length: unknowns }, (_, u) => from[slotOf(u)]);
  function sums(): TileSums {
    const all = doubles('sums', 2 + 2 * slots + bands * free.length);
    return { held: all[0], cost: all[1], diagonal: spared(all.subarray(2)), right: spared(all.subarray(2 + slots)), cross: all.slice(2 + 2 * slots) };
  }
  function taken(): TakenByTiles {
    const schur = doubles('schur', slots * slots), matrix = new Float64Array(unknowns * unknowns);
    for (let i = 0; i < unknowns; i++) for (let j = 0, row = slotOf(i) * slots; j <= i; j++) matrix[i * unknowns + j] = schur[row + slotOf(j)];
    return { matrix, right: spared(doubles('schurRight', slots)) };
  }

  function allEntries(): SolveEntries {
    const ofBands = (field: Field): Float32Array[] => curves.map((_, b) => {
      kernel.withoutPadding(at[field] + 4 * b * count * wide, at.range + 8 * b * count, count, wide, frames, packedAt);
      return new Float32Array(buffer, packedAt, count * frames).slice();
    });
    kernel.coupled(at.nextSystem, systemBytesATile, LANES, slots, at.reach, count, own, wide, frames, unknowns, packedAt, normalAt);
    const coupling = new Float32Array(buffer, packedAt, count * own * unknowns).slice(), tileNormal = new Float64Array(buffer, normalAt, count * own * own).slice();
    return { residual: ofBands('residual'), robust: ofBands('robust'), byZ: ofBands('byZ'), byLnAmplitude: ofBands('byLn'), sigma: ofBands('sigma'), coupling, tileNormal };
  }

  function depthVariances(): Float64Array {
    const system = new Float64Array(buffer, at.nextSystem, systemBytes / 8), out = new Float64Array(count);
    for (let t = 0; t < count; t++) out[t] = varianceOfDepth(system, (t * systemBytesATile + LANES * slots * 4) / 8, LANES, bands);
    return out;
  }

  return {
    try(step, z, gain, damping) {
      if (step) for (let u = 0; u < unknowns; u++) steps[slotOf(u)] = step[u];
      placeFrames(z, gain);
      triedZ = z.slice(); triedGain = gain.slice();
      kernel.tryTiles(job, step !== null, damping, false);
      return { sums: sums(), taken: taken() };
    },
    accept() {
      [at.depth, at.nextDepth, at.ln, at.nextLn, at.system, at.nextSystem] = [at.nextDepth, at.depth, at.nextLn, at.ln, at.nextSystem, at.system];
      acceptedZ = triedZ; acceptedGain = triedGain;
      describe();
    },
    eliminate(damping) { kernel.eliminateAgain(job, damping); return taken(); },
    finish(state, wanted) {
      state.depth.set(doubles('depth', count));
      state.lnAmplitude.forEach((ln, b) => ln.set(doubles('ln', bands * count).subarray(b * count, (b + 1) * count)));
      placeFrames(acceptedZ, acceptedGain);
      kernel.tryTiles(job, false, 0, wanted);
      return { sums: sums(), taken: taken(), misfit: doubles('misfit', count).slice(), depthVariance: depthVariances(), entries: wanted ? allEntries() : null };
    },
  };
}

/** Curve tables as the kernel reads them: energy and slope at a defocus and at the next, side by side. */
function packCurves(curves: readonly FocusCurve[], packed: Float32Array, kinship: Float32Array): void {
  let to = 0;
  curves.forEach((curve, b) => {
    kinship.set(curve.kinship, b * DEFOCUS_COUNT);
    for (let s = 0; s < SPREADS.length; s++) for (let j = 0; j < DEFOCUS_COUNT; j++, to += 4) {
      const i = s * DEFOCUS_COUNT + j, next = Math.min(j + 1, DEFOCUS_COUNT - 1) - j;
      packed[to] = curve.energy[i]; packed[to + 1] = curve.energy[i + next];
      packed[to + 2] = curve.slope[i]; packed[to + 3] = curve.slope[i + next];
    }
  });
}
