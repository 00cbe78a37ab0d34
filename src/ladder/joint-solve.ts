import { choleskySolve } from '../image/cholesky.js';
import type { FocusCurve } from './focus-curve.js';
import type { SolveTiles } from './solve-tiles.js';
import { startTilePass, type SolveEntries, type TakenByTiles, type TileSums } from './tile-pass.js';

/** Unknowns of the joint solve. Positions and depths in DOF, growing away from the camera once the direction is known. */
export interface LadderState {
  z: Float64Array;
  depth: Float64Array;
  /** Per band: ln in-focus amplitude of each tile. */
  lnAmplitude: Float64Array[];
  /** Per band: depth spread of each tile, DOF; held during a solve. */
  spread: Float64Array[];
  /** Per band: how much deeper than the tile's depth the ground lies that the band sees, DOF; held during a solve. */
  bend: Float64Array[];
  /** band × frame: ln amplitude gain; 0 but for frames in `freeGain`. */
  gain: Float64Array;
}

export interface SolveSettings {
  /** Frames whose gain may differ: those found blurred. */
  freeGain: readonly number[];
  /** Per band: tile × frame weights, held during a solve. */
  weight: Float32Array[];
  /** Noise energy, band × frame. */
  noise: Float64Array[];
  components: Float64Array;
  /** Mean and spread of ln a_b − ln a_(b+1); null: no prior. `pull` scales it per tile. */
  ratioPrior: { mean: number[]; spread: number[]; pull: Float64Array } | null;
  /** Per band: mean in-focus energy around each tile, and the share of the tiles' differences that is chance; null: not known yet. */
  local: { energy: Float64Array[]; chance: number[] } | null;
  rounds: number;
  /** Relative decrease of the cost below which it stops. */
  settled: number;
  /** Soft ties between neighbours along the axis, which hold frames that nothing else holds. */
  ties: readonly FrameTie[];
  /** Every entry is wanted too, which the uncertainties are made from. */
  entries: boolean;
}

/** z_to − z_from is expected to be `step`, with standard deviation `spread`, DOF. */
export interface FrameTie { from: number; to: number; step: number; spread: number }

/** What a solve leaves besides the state. */
export interface SolveTrace {
  /** Frame unknowns: z of every frame, then band × freeGain. */
  unknowns: number;
  /** Reduced (Schur) normal matrix of the frame unknowns. */
  reduced: Float64Array;
  /** Per tile: rms residual, by the given weights. */
  misfit: Float64Array;
  /** Per tile: variance of its depth about the frames, DOF²; Infinity where nothing tells it. */
  depthVariance: Float64Array;
  entries: SolveEntries | null;
  cost: number;
}

const GAIN_PRIOR = 0.5;
const MOST_ATTEMPTS = 6, FIRST_DAMPING = 1e-3, LEAST_DAMPING = 1e-6;
/** Most a step moves a frame, DOF, and its ln gain. */
const MOST_MOVE = 1, MOST_GAIN = 0.5;

/**
 * Fits frame positions, tile depths and tile amplitudes together: E = a²·e^(2γ)·G(z − d; spread) + noise, residuals on √E.
 * Levenberg–Marquardt (Levenberg 1944, Marquardt 1963); the tiles' unknowns are eliminated by the Schur complement, so a step
 * costs tiles × frames, tiles × (frames within reach)² / 2 and one small factorisation. Huber to 2 sigma, logarithmic beyond. The state is
 * changed in place.
 */
export function jointSolve(curves: readonly FocusCurve[], tiles: SolveTiles, state: LadderState, settings: SolveSettings): SolveTrace {
  const { frames } = tiles, bands = curves.length, free = settings.freeGain, unknowns = frames + bands * free.length;
  const pass = startTilePass(curves, tiles, state, settings);
  const trialZ = state.z.slice(), trialGain = state.gain.slice();

  function priorCost(z: Float64Array, gain: Float64Array): number {
    let cost = 0;
    for (const { from, to, step, spread } of settings.ties) cost += 0.5 * ((z[to] - z[from] - step) / spread) ** 2;
    for (const k of free) for (let b = 0; b < bands; b++) cost += 0.5 * (gain[b * frames + k] / GAIN_PRIOR) ** 2;
    return cost;
  }

  /** Normal matrix and right side of the frames at the accepted state, before the tiles are eliminated. */
  function framesSystem({ diagonal, right, cross }: TileSums): { matrix: Float64Array; right: Float64Array } {
    const matrix = new Float64Array(unknowns * unknowns), side = right.slice();
    let trace = 0;
    for (let k = 0; k < frames; k++) trace += diagonal[k];
    // The ladder may slide as a whole: a soft hold on the mean position takes that freedom away.
    for (let i = 0; i < frames; i++) for (let j = 0; j < frames; j++) matrix[i * unknowns + j] = (1e-3 * trace) / frames;
    for (let i = 0; i < unknowns; i++) matrix[i * unknowns + i] += diagonal[i];
    for (const { from, to, step, spread } of settings.ties) {
      const p = 1 / spread ** 2, e = state.z[to] - state.z[from] - step;
      matrix[from * unknowns + from] += p; matrix[to * unknowns + to] += p;
      matrix[from * unknowns + to] -= p; matrix[to * unknowns + from] -= p;
      side[from] += p * e; side[to] -= p * e;
    }
    for (let b = 0; b < bands; b++) free.forEach((k, f) => {
      const g = frames + b * free.length + f;
      matrix[k * unknowns + g] += cross[b * free.length + f];
      matrix[g * unknowns + k] += cross[b * free.length + f];
      matrix[g * unknowns + g] += 1 / GAIN_PRIOR ** 2;
      side[g] -= state.gain[b * frames + k] / GAIN_PRIOR ** 2;
    });
    return { matrix, right: side };
  }

  function reduce({ matrix, right }: { matrix: Float64Array; right: Float64Array }, taken: TakenByTiles, damping: number): { reduced: Float64Array; right: Float64Array } {
    const reduced = matrix.slice();
    for (let i = 0; i < unknowns; i++) {
      reduced[i * unknowns + i] *= 1 + damping;
      for (let j = 0; j <= i; j++) { reduced[i * unknowns + j] -= taken.matrix[i * unknowns + j]; reduced[j * unknowns + i] = reduced[i * unknowns + j]; }
    }
    return { reduced, right: right.map((v, i) => v - taken.right[i]) };
  }

  let damping = FIRST_DAMPING;
  const first = pass.try(null, state.z, state.gain, damping);
  pass.accept();
  let cost = first.sums.cost + priorCost(state.z, state.gain), system = framesSystem(first.sums), taken = first.taken;
  for (let round = 0; round < settings.rounds; round++) {
    let accepted = false;
    const before = cost;
    let held = cost;
    for (let attempt = 0; attempt < MOST_ATTEMPTS; attempt++) {
      const { reduced, right } = reduce(system, taken, damping), step = choleskySolve(reduced, right, unknowns);
      for (let k = 0; k < frames; k++) trialZ[k] = state.z[k] + clamp(step[k], MOST_MOVE);
      for (let b = 0; b < bands; b++) free.forEach((k, f) => { trialGain[b * frames + k] = state.gain[b * frames + k] + clamp(step[frames + b * free.length + f], MOST_GAIN); });
      const next = Math.max(damping / 5, LEAST_DAMPING), tried = pass.try(step, trialZ, trialGain, next), prior = priorCost(trialZ, trialGain);
      held = tried.sums.held + prior;
      if (held < cost) {
        accepted = true;
        pass.accept();
        state.z.set(trialZ); state.gain.set(trialGain);
        cost = tried.sums.cost + prior; system = framesSystem(tried.sums); taken = tried.taken; damping = next;
        break;
      }
      damping *= 6;
      taken = pass.eliminate(damping);
    }
    if (!accepted || (before - held) / before < settings.settled) break;
  }
  const { sums, taken: all, misfit, depthVariance, entries } = pass.finish(state, settings.entries);
  return { unknowns, reduced: reduce(framesSystem(sums), all, 0).reduced, misfit, depthVariance, entries, cost: sums.cost + priorCost(state.z, state.gain) };
}

function clamp(value: number, limit: number): number { return value > limit ? limit : value < -limit ? -limit : value; }
