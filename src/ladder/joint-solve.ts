import { DEFOCUS_COUNT, DEFOCUS_STEP } from './otf-table.js';
import { spreadIndex, type FocusCurve } from './focus-curve.js';
import { choleskyFactor, choleskySolve, solveFactored } from '../image/cholesky.js';
import { MODEL_ERROR, type SolveTiles } from './solve-tiles.js';

// Over 200 lines: residuals, normal equations and the damped step share one set of scratch arrays, and this is the hot loop.

/** Unknowns of the joint solve. Positions and depths in DOF, growing away from the camera once the direction is known. */
export interface LadderState {
  z: Float64Array;
  depth: Float64Array;
  /** Per band: ln in-focus amplitude of each tile. */
  lnAmplitude: Float64Array[];
  /** Per band: depth spread of each tile, DOF; held during a solve. */
  spread: Float64Array[];
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
}

/** z_to − z_from is expected to be `step`, with standard deviation `spread`, DOF. */
export interface FrameTie { from: number; to: number; step: number; spread: number }

/** What the uncertainties are made from, at the solution. */
export interface SolveTrace {
  /** Frame unknowns: z of every frame, then band × freeGain. */
  unknowns: number;
  /** Reduced (Schur) normal matrix of the frame unknowns. */
  reduced: Float64Array;
  /** tile × frame × (1 + bands): coupling of z_k to the tile's unknowns, and per free gain behind it. */
  coupling: Float64Array;
  /** tile × (1+bands)²: the tiles' own normal matrices. */
  tileNormal: Float64Array;
  /** Per band, tile × frame: residual in sigmas, robust weight × given weight, derivative by z and by ln amplitude, sigma. */
  residual: Float32Array[];
  robust: Float32Array[];
  byZ: Float32Array[];
  byLnAmplitude: Float32Array[];
  sigma: Float32Array[];
  cost: number;
}

const HUBER = 2;
const GAIN_PRIOR = 0.5;
const NEGLIGIBLE = 1e-4;
const PER_STEP = 1 / DEFOCUS_STEP, LAST = DEFOCUS_COUNT - 1.001;
/** Room for a tile's own unknowns in the inner products of `reduce`: its depth and up to three amplitudes. */
const WIDE = 4;

/**
 * Fits frame positions, tile depths and tile amplitudes together: E = a²·e^(2γ)·G(z − d; spread) + noise, residuals on √E.
 * Levenberg–Marquardt (Levenberg 1944, Marquardt 1963); the tiles' unknowns are eliminated by the Schur complement, so a step
 * costs tiles × frames and one small factorisation. Huber to 2 sigma, logarithmic beyond. The state is changed in place.
 *
 * @param used the trace of an earlier solve of as many tiles, no longer needed: its arrays are filled anew
 */
export function jointSolve(curves: readonly FocusCurve[], tiles: SolveTiles, state: LadderState, settings: SolveSettings, used: SolveTrace | null = null): SolveTrace {
  const { count, frames } = tiles, bands = curves.length, own = 1 + bands;
  if (own > WIDE) throw new RangeError(`at most ${WIDE - 1} bands can be solved together, got ${bands}`);
  const free = settings.freeGain, unknowns = frames + bands * free.length, slots = frames + bands * free.length;
  const freeSlot = new Int32Array(frames).fill(-1);
  free.forEach((k, i) => { freeSlot[k] = i; });
  const fits = used && used.unknowns === unknowns && used.coupling.length === count * slots * own;
  const trace: SolveTrace = fits ? used : {
    unknowns, reduced: new Float64Array(unknowns * unknowns), coupling: new Float64Array(count * slots * own), tileNormal: new Float64Array(count * own * own),
    residual: bandArrays(), robust: bandArrays(), byZ: bandArrays(), byLnAmplitude: bandArrays(), sigma: bandArrays(), cost: 0,
  };
  function bandArrays(): Float32Array[] { return curves.map(() => new Float32Array(count * frames)); }
  const root = tiles.energy.map((energy) => {
    const out = new Float32Array(energy.length);
    for (let i = 0; i < out.length; i++) out[i] = Math.sqrt(energy[i]);
    return out;
  });
  const spreadAt = state.spread.map((sigmas) => {
    const index = new Int32Array(count), fraction = new Float64Array(count);
    for (let t = 0; t < count; t++) { const s = spreadIndex(sigmas[t]); index[t] = s.index * DEFOCUS_COUNT; fraction[t] = s.fraction; }
    return { index, fraction };
  });
  const trial: LadderState = { z: state.z.slice(), depth: state.depth.slice(), lnAmplitude: state.lnAmplitude.map((a) => a.slice()), spread: state.spread, gain: state.gain.slice() };

  function priorCost(s: LadderState): number {
    let cost = 0;
    for (const { from, to, step, spread } of settings.ties) cost += 0.5 * ((s.z[to] - s.z[from] - step) / spread) ** 2;
    for (const k of free) for (let b = 0; b < bands; b++) cost += 0.5 * (s.gain[b * frames + k] / GAIN_PRIOR) ** 2;
    const prior = settings.ratioPrior;
    if (prior) for (let b = 0; b < bands - 1; b++) for (let t = 0; t < count; t++) {
      cost += 0.5 * prior.pull[t] * ((s.lnAmplitude[b][t] - s.lnAmplitude[b + 1][t] - prior.mean[b]) / prior.spread[b]) ** 2;
    }
    return cost;
  }

  const gains = new Float64Array(frames);

  /** Cost at a state; with `keep`, residuals and derivatives are stored and sigmas set anew. */
  function evaluate(s: LadderState, keep: boolean): number {
    let cost = priorCost(s);
    const { z, depth } = s;
    for (let b = 0; b < bands; b++) {
      const { energy, slope, kinship } = curves[b], local = settings.local?.energy[b], chance = settings.local?.chance[b] ?? 0, weight = settings.weight[b], noise = settings.noise[b], measured = root[b];
      const { index, fraction } = spreadAt[b], ln = s.lnAmplitude[b];
      const sigmas = trace.sigma[b], residual = trace.residual[b], robust = trace.robust[b], byZ = trace.byZ[b], byLn = trace.byLnAmplitude[b];
      const noisePart = noise.map((n) => n / settings.components[b]);
      gains.fill(1);
      for (const k of free) gains[k] = Math.exp(2 * s.gain[b * frames + k]);
      for (let t = 0; t < count; t++) {
        const amplitude = Math.exp(ln[t]), squared = amplitude * amplitude, modelVariance = (MODEL_ERROR * amplitude) ** 2;
        const d = depth[t], base = index[t], fs = fraction[t], around = local ? local[t] : 0;
        for (let k = 0, i = t * frames; k < frames; k++, i++) {
          const w = weight[i];
          if (w < NEGLIGIBLE) { if (keep) { robust[i] = 0; residual[i] = 0; byZ[i] = 0; byLn[i] = 0; sigmas[i] = 1; } continue; }
          const delta = z[k] - d;
          let x = Math.abs(delta) * PER_STEP;
          if (x > LAST) x = LAST;
          const j = x | 0, fx = x - j, at = base + j, next = at + DEFOCUS_COUNT;
          const g = (1 - fs) * ((1 - fx) * energy[at] + fx * energy[at + 1]) + fs * ((1 - fx) * energy[next] + fx * energy[next + 1]);
          const away = chance * (1 - kinship[j]), own2 = squared * (1 - away) * gains[k], scale = own2 + away * around * gains[k];
          const model = Math.sqrt(scale * g + noise[k]);
          let sigma = sigmas[i];
          if (keep) sigmas[i] = sigma = Math.sqrt(noisePart[k] + modelVariance);
          const r = (measured[i] - model) / sigma, q = Math.abs(r);
          cost += w * (q <= HUBER ? 0.5 * q * q : 0.5 * HUBER * HUBER * (1 + 2 * Math.log(q / HUBER)));
          if (keep) {
            let dg = (1 - fs) * ((1 - fx) * slope[at] + fx * slope[at + 1]) + fs * ((1 - fx) * slope[next] + fx * slope[next + 1]);
            if (delta < 0) dg = -dg;
            const per = 1 / (model * sigma);
            residual[i] = r;
            robust[i] = w * (q <= HUBER ? 1 : (HUBER / q) ** 2);
            byZ[i] = 0.5 * scale * dg * per;
            byLn[i] = own2 * g * per;
          }
        }
      }
    }
    return cost;
  }

  const frameNormal = new Float64Array(unknowns * unknowns), frameRight = new Float64Array(unknowns);
  const tileRight = new Float64Array(count * own);
  const prior = settings.ratioPrior;

  function buildNormal(): void {
    const { coupling, tileNormal } = trace;
    frameNormal.fill(0); frameRight.fill(0); coupling.fill(0); tileNormal.fill(0); tileRight.fill(0);
    for (let b = 0; b < bands; b++) {
      const robust = trace.robust[b], byZ = trace.byZ[b], byLn = trace.byLnAmplitude[b], residual = trace.residual[b];
      for (let t = 0; t < count; t++) {
        const n = t * own * own, c = t * slots * own;
        let zz = 0, zl = 0, ll = 0, zr = 0, lr = 0;
        for (let k = 0, i = t * frames; k < frames; k++, i++) {
          const w = robust[i];
          if (w === 0) continue;
          const jz = byZ[i], jl = byLn[i], r = residual[i], wz = w * jz, wl = w * jl, wzz = wz * jz, wzl = wz * jl, wll = wl * jl, wzr = wz * r, wlr = wl * r;
          zz += wzz; zl += wzl; ll += wll; zr += wzr; lr += wlr;
          frameNormal[k * unknowns + k] += wzz;
          frameRight[k] += wzr;
          coupling[c + k * own] -= wzz;
          coupling[c + k * own + 1 + b] += wzl;
          const f = freeSlot[k];
          if (f >= 0) {
            const g = frames + b * free.length + f;
            frameNormal[g * unknowns + g] += wll;
            frameNormal[k * unknowns + g] += wzl;
            frameNormal[g * unknowns + k] += wzl;
            frameRight[g] += wlr;
            coupling[c + g * own] -= wzl;
            coupling[c + g * own + 1 + b] += wll;
          }
        }
        tileNormal[n] += zz;
        tileNormal[n + 1 + b] -= zl;
        tileNormal[n + (1 + b) * own] -= zl;
        tileNormal[n + (1 + b) * own + 1 + b] += ll;
        tileRight[t * own] -= zr;
        tileRight[t * own + 1 + b] += lr;
      }
    }
    let trace0 = 0;
    for (let k = 0; k < frames; k++) trace0 += frameNormal[k * unknowns + k];
    // The ladder may slide as a whole: a soft hold on the mean position takes that freedom away.
    for (let i = 0; i < frames; i++) for (let j = 0; j < frames; j++) frameNormal[i * unknowns + j] += (1e-3 * trace0) / frames;
    for (const { from, to, step, spread } of settings.ties) {
      const p = 1 / spread ** 2, e = state.z[to] - state.z[from] - step;
      frameNormal[from * unknowns + from] += p; frameNormal[to * unknowns + to] += p;
      frameNormal[from * unknowns + to] -= p; frameNormal[to * unknowns + from] -= p;
      frameRight[from] += p * e; frameRight[to] -= p * e;
    }
    for (let b = 0; b < bands; b++) free.forEach((k, f) => {
      const g = frames + b * free.length + f;
      frameNormal[g * unknowns + g] += 1 / GAIN_PRIOR ** 2;
      frameRight[g] -= state.gain[b * frames + k] / GAIN_PRIOR ** 2;
    });
    if (prior) for (let b = 0; b < bands - 1; b++) for (let t = 0; t < count; t++) {
      const p = prior.pull[t] / prior.spread[b] ** 2, n = t * own * own, i = 1 + b, j = 2 + b;
      const e = state.lnAmplitude[b][t] - state.lnAmplitude[b + 1][t] - prior.mean[b];
      tileNormal[n + i * own + i] += p; tileNormal[n + j * own + j] += p;
      tileNormal[n + i * own + j] -= p; tileNormal[n + j * own + i] -= p;
      tileRight[t * own + i] -= p * e; tileRight[t * own + j] += p * e;
    }
  }

  const factor = new Float64Array(count * own * own), forward = new Float64Array(WIDE), whitened = new Float64Array((slots + 1) * WIDE);
  const tileBlock = new Float64Array(own * own), active = new Int32Array(slots);

  /** Reduced system at a damping; fills `reduced`, returns the right side. Tile factors are kept for back substitution. */
  function reduce(damping: number): Float64Array {
    const { reduced, coupling, tileNormal } = trace, right = frameRight.slice();
    reduced.set(frameNormal);
    for (let i = 0; i < unknowns; i++) reduced[i * unknowns + i] *= 1 + damping;
    for (let t = 0; t < count; t++) {
      const n = t * own * own;
      for (let i = 0; i < own * own; i++) tileBlock[i] = tileNormal[n + i];
      for (let i = 0; i < own; i++) tileBlock[i * own + i] = tileBlock[i * own + i] * (1 + damping) + 1e-6;
      choleskyFactor(tileBlock, own);
      for (let i = 0; i < own * own; i++) factor[n + i] = tileBlock[i];
      for (let i = 0; i < own; i++) {
        let v = tileRight[t * own + i];
        for (let j = 0; j < i; j++) v -= tileBlock[i * own + j] * forward[j];
        forward[i] = v / tileBlock[i * own + i];
      }
      const f0 = forward[0], f1 = forward[1], f2 = forward[2], f3 = forward[3];
      let used = 0;
      for (let s = 0; s < slots; s++) {
        const c = (t * slots + s) * own, ws = used * WIDE;
        let any = false;
        for (let i = 0; i < own; i++) {
          let v = coupling[c + i];
          if (v !== 0) any = true;
          for (let j = 0; j < i; j++) v -= tileBlock[i * own + j] * whitened[ws + j];
          whitened[ws + i] = v / tileBlock[i * own + i];
        }
        if (any) active[used++] = s;
      }
      for (let a = 0, wa = 0; a < used; a++, wa += WIDE) right[active[a]] -= whitened[wa] * f0 + whitened[wa + 1] * f1 + whitened[wa + 2] * f2 + whitened[wa + 3] * f3;
      // Products of four whatever the number of bands: what a tile has no unknown for stays 0. The lower half is made, two rows at a time so
      // that what is read serves twice, and mirrored at the end.
      whitened.fill(0, used * WIDE, (used + 1) * WIDE);
      for (let a = 0, wa = 0; a < used; a += 2, wa += 2 * WIDE) {
        const row = active[a] * unknowns, next = active[Math.min(a + 1, used - 1)] * unknowns;
        const w0 = whitened[wa], w1 = whitened[wa + 1], w2 = whitened[wa + 2], w3 = whitened[wa + 3];
        const v0 = whitened[wa + 4], v1 = whitened[wa + 5], v2 = whitened[wa + 6], v3 = whitened[wa + 7];
        for (let c = 0, wc = 0; c <= a; c++, wc += WIDE) {
          const u = active[c], u0 = whitened[wc], u1 = whitened[wc + 1], u2 = whitened[wc + 2], u3 = whitened[wc + 3];
          reduced[row + u] -= w0 * u0 + w1 * u1 + w2 * u2 + w3 * u3;
          reduced[next + u] -= v0 * u0 + v1 * u1 + v2 * u2 + v3 * u3;
        }
        if (a + 1 < used) reduced[next + active[a + 1]] -= v0 * v0 + v1 * v1 + v2 * v2 + v3 * v3;
      }
    }
    for (let i = 0; i < unknowns; i++) for (let j = 0; j < i; j++) reduced[j * unknowns + i] = reduced[i * unknowns + j];
    return right;
  }

  const change = new Float64Array(WIDE);

  /** The tiles' part of a step: what the frames' part leaves of their right sides, through their own factors. */
  function stepTiles(step: Float64Array): void {
    const { coupling } = trace;
    for (let t = 0; t < count; t++) {
      for (let i = 0; i < own; i++) change[i] = tileRight[t * own + i];
      for (let s = 0, c = t * slots * own; s < slots; s++) {
        const move = step[s];
        for (let i = 0; i < own; i++, c++) change[i] -= coupling[c] * move;
      }
      solveFactored(factor, t * own * own, own, change);
      trial.depth[t] = state.depth[t] + clamp(change[0], 0.7);
      for (let b = 0; b < bands; b++) trial.lnAmplitude[b][t] = state.lnAmplitude[b][t] + clamp(change[1 + b], 0.7);
    }
  }

  let cost = evaluate(state, true), damping = 1e-3;
  for (let round = 0; round < settings.rounds; round++) {
    buildNormal();
    let accepted = false, before = cost;
    for (let attempt = 0; attempt < 6; attempt++) {
      const step = choleskySolve(trace.reduced, reduce(damping), unknowns);
      for (let k = 0; k < frames; k++) trial.z[k] = state.z[k] + clamp(step[k], 1);
      for (let b = 0; b < bands; b++) free.forEach((k, f) => { trial.gain[b * frames + k] = state.gain[b * frames + k] + clamp(step[frames + b * free.length + f], 0.5); });
      stepTiles(step);
      const next = evaluate(trial, false);
      if (next < cost) { accepted = true; before = cost; cost = next; break; }
      damping *= 6;
    }
    if (!accepted) break;
    state.z.set(trial.z); state.depth.set(trial.depth); state.gain.set(trial.gain);
    state.lnAmplitude.forEach((a, b) => a.set(trial.lnAmplitude[b]));
    const decrease = (before - cost) / before;
    cost = evaluate(state, true);
    damping = Math.max(damping / 5, 1e-6);
    if (decrease < settings.settled) break;
  }
  buildNormal();
  reduce(0);
  trace.cost = cost;
  return trace;
}

function clamp(value: number, limit: number): number { return value > limit ? limit : value < -limit ? -limit : value; }
