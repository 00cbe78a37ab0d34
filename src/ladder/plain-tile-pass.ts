import { choleskyFactor, solveFactored } from '../image/cholesky.js';
import { spreadIndex, type FocusCurve } from './focus-curve.js';
import type { LadderState, SolveSettings } from './joint-solve.js';
import { DEFOCUS_COUNT, DEFOCUS_STEP } from './otf-table.js';
import { MODEL_ERROR, type SolveTiles } from './solve-tiles.js';
import type { SolveEntries, TakenByTiles, TilePass, TileSums } from './tile-pass.js';
import { varianceOfDepth } from './variance-of-depth.js';

export const HUBER = 2;
/** Entries of less weight take no part. */
export const NEGLIGIBLE = 1e-4;
export const PER_STEP = 1 / DEFOCUS_STEP, LAST = DEFOCUS_COUNT - 1.001;
/** Most a step moves a tile's depth, DOF, and its ln amplitudes. */
const MOST_MOVE = 0.7;

/** The tiles' unknowns, and their part of the normal equations. */
interface Tiles { depth: Float64Array; ln: Float64Array[]; normal: Float64Array; right: Float64Array; coupling: Float64Array }

/** The tiles' part of a joint solve, entry by entry in double precision: what the SIMD kernel is held to, and what runs where there is none. */
export function plainTilePass(curves: readonly FocusCurve[], tiles: SolveTiles, start: LadderState, settings: SolveSettings): TilePass {
  const { count, frames } = tiles, bands = curves.length, own = 1 + bands, free = settings.freeGain, unknowns = frames + bands * free.length;
  const freeSlot = new Int32Array(frames).fill(-1);
  free.forEach((k, i) => { freeSlot[k] = i; });
  const spreadAt = start.spread.map((sigmas) => Array.from(sigmas, spreadIndex));
  const empty = (): Tiles => ({
    depth: start.depth.slice(), ln: start.lnAmplitude.map((a) => a.slice()),
    normal: new Float64Array(count * own * own), right: new Float64Array(count * own), coupling: new Float64Array(count * own * unknowns),
  });
  let accepted = empty(), tried = empty(), z = start.z.slice(), triedZ = start.z.slice(), gain = start.gain.slice(), triedGain = start.gain.slice();
  const factor = new Float64Array(count * own * own), misfit = new Float64Array(count);

  /** Where the frames' step takes the tiles: what it leaves of their right sides, through their own factors. */
  function move(step: Float64Array): void {
    const change = new Float64Array(own), { right, coupling } = accepted;
    for (let t = 0; t < count; t++) {
      for (let i = 0; i < own; i++) {
        const c = (t * own + i) * unknowns;
        change[i] = right[t * own + i];
        for (let s = 0; s < unknowns; s++) change[i] -= coupling[c + s] * step[s];
      }
      solveFactored(factor, t * own * own, own, change);
      tried.depth[t] = accepted.depth[t] + clamp(change[0]);
      for (let b = 0; b < bands; b++) tried.ln[b][t] = accepted.ln[b][t] + clamp(change[1 + b]);
    }
  }

  /** Cost and normal equations of the tried state; fills its system. */
  function evaluate(entries: SolveEntries | null): TileSums {
    const { depth, ln, normal, right, coupling } = tried;
    const sums: TileSums = { held: 0, cost: 0, diagonal: new Float64Array(unknowns), right: new Float64Array(unknowns), cross: new Float64Array(bands * free.length) };
    const total = new Float64Array(count);
    misfit.fill(0); normal.fill(0); right.fill(0); coupling.fill(0);
    for (let b = 0; b < bands; b++) {
      const { energy, slope, kinship } = curves[b], local = settings.local?.energy[b], chance = settings.local?.chance[b] ?? 0, weight = settings.weight[b], noise = settings.noise[b];
      for (let t = 0; t < count; t++) {
        const { index, fraction } = spreadAt[b][t], amplitude = Math.exp(ln[b][t]), squared = amplitude * amplitude, around = local ? local[t] : 0;
        const bend = start.bend[b][t], heldVariance = (MODEL_ERROR * Math.exp(accepted.ln[b][t])) ** 2, modelVariance = (MODEL_ERROR * amplitude) ** 2;
        const n = t * own * own, i = 1 + b, byDepth = t * own * unknowns, byAmplitude = byDepth + i * unknowns;
        for (let k = 0, at = t * frames; k < frames; k++, at++) {
          const w = weight[at];
          if (w < NEGLIGIBLE) continue;
          const delta = triedZ[k] - depth[t] - bend, x = Math.min(Math.abs(delta) * PER_STEP, LAST), j = x | 0, fx = x - j, row = index * DEFOCUS_COUNT + j;
          const inTable = (table: Float64Array) => (1 - fraction) * ((1 - fx) * table[row] + fx * table[row + 1]) + fraction * ((1 - fx) * table[row + DEFOCUS_COUNT] + fx * table[row + DEFOCUS_COUNT + 1]);
          const g = inTable(energy), dg = delta < 0 ? -inTable(slope) : inTable(slope);
          const away = chance * (1 - kinship[j]), frameGain = Math.exp(2 * triedGain[b * frames + k]);
          const ownEnergy = squared * (1 - away) * frameGain, scale = ownEnergy + away * around * frameGain, model = Math.sqrt(scale * g + noise[k]);
          const off = Math.sqrt(tiles.energy[b][at]) - model, noisePart = noise[k] / settings.components[b];
          const sigma = Math.sqrt(noisePart + modelVariance), r = off / sigma, q = Math.abs(r);
          sums.held += w * loss(off / Math.sqrt(noisePart + heldVariance));
          sums.cost += w * loss(r);
          misfit[t] += w * r * r;
          total[t] += w;
          const robust = w * (q <= HUBER ? 1 : (HUBER / q) ** 2), jz = (0.5 * scale * dg) / (model * sigma), jl = (ownEnergy * g) / (model * sigma);
          if (entries) { entries.residual[b][at] = r; entries.robust[b][at] = robust; entries.byZ[b][at] = jz; entries.byLnAmplitude[b][at] = jl; entries.sigma[b][at] = sigma; }
          const wzz = robust * jz * jz, wzl = robust * jz * jl, wll = robust * jl * jl, wzr = robust * jz * r, wlr = robust * jl * r;
          normal[n] += wzz; normal[n + i] -= wzl; normal[n + i * own] -= wzl; normal[n + i * own + i] += wll;
          right[t * own] -= wzr; right[t * own + i] += wlr;
          sums.diagonal[k] += wzz; sums.right[k] += wzr;
          coupling[byDepth + k] -= wzz; coupling[byAmplitude + k] += wzl;
          const f = freeSlot[k], slot = frames + b * free.length + f;
          if (f < 0) continue;
          sums.diagonal[slot] += wll; sums.right[slot] += wlr; sums.cross[b * free.length + f] += wzl;
          coupling[byDepth + slot] -= wzl; coupling[byAmplitude + slot] += wll;
        }
      }
    }
    for (let t = 0; t < count; t++) misfit[t] = Math.sqrt(misfit[t] / Math.max(total[t], 1e-9));
    addPrior(sums);
    return sums;
  }

  /** The prior on neighbouring bands' amplitude ratios. */
  function addPrior(sums: TileSums): void {
    const prior = settings.ratioPrior, { ln, normal, right } = tried;
    if (prior) for (let b = 0; b < bands - 1; b++) for (let t = 0; t < count; t++) {
      const p = prior.pull[t] / prior.spread[b] ** 2, n = t * own * own, i = 1 + b, j = 2 + b, e = ln[b][t] - ln[b + 1][t] - prior.mean[b];
      sums.held += 0.5 * p * e * e; sums.cost += 0.5 * p * e * e;
      normal[n + i * own + i] += p; normal[n + j * own + j] += p;
      normal[n + i * own + j] -= p; normal[n + j * own + i] -= p;
      right[t * own + i] -= p * e; right[t * own + j] += p * e;
    }
  }

  function eliminate({ normal, right, coupling }: Tiles, damping: number): TakenByTiles {
    const taken: TakenByTiles = { matrix: new Float64Array(unknowns * unknowns), right: new Float64Array(unknowns) };
    const block = new Float64Array(own * own), forward = new Float64Array(own), whitened = new Float64Array(own * unknowns), active = new Int32Array(unknowns);
    for (let t = 0; t < count; t++) {
      const n = t * own * own;
      for (let i = 0; i < own * own; i++) block[i] = normal[n + i];
      for (let i = 0; i < own; i++) block[i * own + i] = block[i * own + i] * (1 + damping) + 1e-6;
      choleskyFactor(block, own);
      factor.set(block, n);
      let used = 0;
      for (let s = 0; s < unknowns; s++) for (let i = 0; i < own; i++) if (coupling[(t * own + i) * unknowns + s] !== 0) { active[used++] = s; break; }
      for (let i = 0; i < own; i++) {
        let v = right[t * own + i];
        for (let j = 0; j < i; j++) v -= block[i * own + j] * forward[j];
        forward[i] = v / block[i * own + i];
        for (let a = 0; a < used; a++) {
          let c = coupling[(t * own + i) * unknowns + active[a]];
          for (let j = 0; j < i; j++) c -= block[i * own + j] * whitened[j * unknowns + a];
          whitened[i * unknowns + a] = c / block[i * own + i];
        }
      }
      for (let i = 0; i < own; i++) for (let a = 0, w = i * unknowns; a < used; a++) {
        const row = active[a] * unknowns, v = whitened[w + a];
        taken.right[active[a]] += v * forward[i];
        for (let c = 0; c <= a; c++) taken.matrix[row + active[c]] += v * whitened[w + c];
      }
    }
    return taken;
  }

  return {
    try(step, toZ, toGain, damping) {
      triedZ.set(toZ); triedGain.set(toGain);
      if (step) move(step);
      return { sums: evaluate(null), taken: eliminate(tried, damping) };
    },
    accept() { [accepted, tried] = [tried, accepted]; [z, triedZ] = [triedZ, z]; [gain, triedGain] = [triedGain, gain]; },
    eliminate: (damping) => eliminate(accepted, damping),
    finish(state, wanted) {
      state.depth.set(accepted.depth);
      state.lnAmplitude.forEach((a, b) => a.set(accepted.ln[b]));
      triedZ.set(z); triedGain.set(gain);
      tried.depth.set(accepted.depth);
      tried.ln.forEach((a, b) => a.set(accepted.ln[b]));
      const ofBands = () => curves.map(() => new Float32Array(count * frames));
      const entries: SolveEntries | null = wanted ? { residual: ofBands(), robust: ofBands(), byZ: ofBands(), byLnAmplitude: ofBands(), sigma: ofBands(), coupling: tried.coupling, tileNormal: tried.normal } : null;
      const sums = evaluate(entries), depthVariance = Float64Array.from({ length: count }, (_, t) => varianceOfDepth(tried.normal, t * own * own, own, bands));
      return { sums, taken: eliminate(tried, 0), misfit, depthVariance, entries };
    },
  };
}

function clamp(value: number): number { return value > MOST_MOVE ? MOST_MOVE : value < -MOST_MOVE ? -MOST_MOVE : value; }

/** Half the squared residual up to Huber's limit, its logarithm beyond. */
function loss(r: number): number {
  const q = Math.abs(r);
  return q <= HUBER ? 0.5 * q * q : 0.5 * HUBER * HUBER * (1 + 2 * Math.log(q / HUBER));
}
