// AssemblyScript, compiled to SIMD WebAssembly by scripts/build.mjs: entries of a joint solve brought together, and sums over them, by the arithmetic of
// src/ladder/position-scatter.ts, uncertainty.ts, plain-losses.ts and far-noise.ts; tests/unit/fast-ladder.test.ts and fast-solve-entries.test.ts hold them together.
import { medianOf, quantileOf } from './select';

@inline function at(values: usize, i: i32): f64 { return load<f64>(values + (<usize>i << 3)); }
@inline function put(values: usize, i: i32, value: f64): void { store<f64>(values + (<usize>i << 3), value); }
@inline function plane(values: usize, i: i32): f64 { return <f64>load<f32>(values + (<usize>i << 2)); }
@inline function whole(values: usize, i: i32): i32 { return load<i32>(values + (<usize>i << 2)); }

/** Lines of `wide` values (f32), of which those within each line's range (two i32) hold, become lines of `frames`, 0 elsewhere. */
export function withoutPadding(from: usize, range: usize, lines: i32, wide: i32, frames: i32, out: usize): void {
  memory.fill(out, 0, <usize>(lines * frames) << 2);
  for (let t = 0; t < lines; t++, from += <usize>wide << 2, out += <usize>frames << 2, range += 8) {
    const low = load<i32>(range), high = min(frames, load<i32>(range, 4));
    if (high > low) memory.copy(out + (<usize>low << 2), from + (<usize>low << 2), <usize>(high - low) << 2);
  }
}

/**
 * Coupling lines (f32) and normal matrices (f64) of a solve's tiles as in `SolveEntries`.
 * @param system a tile: `lanes` lines of `slots` f32, then a normal matrix, lanes × lanes f64; `tileBytes` in all
 * @param reach two i32 a tile: frames that its lines hold
 */
export function coupled(system: usize, tileBytes: i32, lanes: i32, slots: i32, reach: usize, tiles: i32, own: i32, wide: i32, frames: i32, unknowns: i32, coupling: usize, normal: usize): void {
  memory.fill(coupling, 0, <usize>(tiles * own * unknowns) << 2);
  for (let t = 0; t < tiles; t++, system += tileBytes, reach += 8) {
    const low = load<i32>(reach), high = min(frames, load<i32>(reach, 4)), matrix = system + (<usize>(lanes * slots) << 2);
    for (let i = 0; i < own; i++, coupling += <usize>unknowns << 2) {
      const line = system + (<usize>(i * slots) << 2);
      if (high > low) memory.copy(coupling + (<usize>low << 2), line + (<usize>low << 2), <usize>(high - low) << 2);
      memory.copy(coupling + (<usize>frames << 2), line + (<usize>wide << 2), <usize>(unknowns - frames) << 2);
      for (let j = 0; j < own; j++, normal += 8) store<f64>(normal, at(matrix, i * lanes + j));
    }
  }
}

/**
 * Sums over each block's tiles of how they pull at the frame unknowns, and how that moves the frames.
 *
 * @param robust, byZ, byLn, residual f32, band × tile × frame
 * @param block i32 a tile; @param free i32: frames whose gain was free
 * @param score f64, block × unknowns, 0 before; @param moves f64, block × frames
 */
export function blockMoves(robust: usize, byZ: usize, byLn: usize, residual: usize, bands: i32, tiles: i32, frames: i32, block: usize, blocks: i32, free: usize, freeCount: i32, inverse: usize, factor: f64, score: usize, moves: usize): void {
  const unknowns = frames + bands * freeCount;
  for (let t = 0; t < tiles; t++) {
    const to = score + (<usize>(whole(block, t) * unknowns) << 3);
    for (let b = 0; b < bands; b++) {
      const from = (b * tiles + t) * frames;
      for (let k = 0, i = from; k < frames; k++, i++) put(to, k, at(to, k) + plane(robust, i) * plane(byZ, i) * plane(residual, i));
      for (let f = 0; f < freeCount; f++) { const i = from + whole(free, f), u = frames + b * freeCount + f; put(to, u, at(to, u) + plane(robust, i) * plane(byLn, i) * plane(residual, i)); }
    }
  }
  for (let b = 0; b < blocks; b++, score += <usize>unknowns << 3) for (let i = 0, row = inverse; i < frames; i++, row += <usize>unknowns << 3, moves += 8) {
    let sum: f64 = 0;
    for (let j = 0; j < unknowns; j++) sum += at(row, j) * at(score, j);
    store<f64>(moves, factor * sum);
  }
}

/** Index of the tabulated spread nearest to sigma. */
@inline function nearest(spreads: usize, count: i32, sigma: f64): i32 {
  let best = 0;
  for (let i = 1; i < count; i++) if (abs<f64>(at(spreads, i) - sigma) < abs<f64>(at(spreads, best) - sigma)) best = i;
  return best;
}

@inline function energyAt(curve: usize, steps: i32, perStep: f64, spread: i32, defocus: f64): f64 {
  const x = min<f64>(abs<f64>(defocus) / perStep, <f64>steps - 1.001), j = <i32>x, f = x - <f64>j, i = spread * steps + j;
  return (1 - f) * at(curve, i) + f * at(curve, i + 1);
}

/**
 * Energies near focus against what the fit expects, of two bands, frame by frame: of tiles that can be relied on from the front of a frame's `tiles` places, of others from their end.
 *
 * @param job i32: tiles, frames, steps of a curve, spreads; then addresses: spreads, z, depth, tileTrust (f64), trust (f32); of the fine band and the other: curve, spread, bend, own energy (f64), energy (f32), noise (f64);
 * and two i32 a frame for how many there are, and two f64, band × frame × tile, for the ratios
 * @param relied, settle tiles of no more trust aren't relied on, or don't count at all
 * @param trusted, nearEnergy what an entry's trust must exceed, and the fine curve's energy there
 */
export function nearRatios(job: usize, perStep: f64, reach: f64, relied: f64, trusted: f64, nearEnergy: f64, settle: bool): void {
  const tiles = whole(job, 0), frames = whole(job, 1), steps = whole(job, 2), spreads = whole(job, 3);
  const table = <usize>whole(job, 4), z = <usize>whole(job, 5), depth = <usize>whole(job, 6), tileTrust = <usize>whole(job, 7), trust = <usize>whole(job, 8);
  const fineCurve = <usize>whole(job, 9), fineSpread = <usize>whole(job, 10), fineBend = <usize>whole(job, 11), fineOwn = <usize>whole(job, 12), fineEnergy = <usize>whole(job, 13), fineNoise = <usize>whole(job, 14);
  const curve = <usize>whole(job, 15), spread = <usize>whole(job, 16), bend = <usize>whole(job, 17), own = <usize>whole(job, 18), energy = <usize>whole(job, 19), noise = <usize>whole(job, 20);
  const counts = <usize>whole(job, 21), fineOut = <usize>whole(job, 22), out = <usize>whole(job, 23);
  memory.fill(counts, 0, <usize>frames << 3);
  for (let t = 0, i = 0; t < tiles; t++, i += frames) {
    const certain = at(tileTrust, t) > relied;
    if (settle && !certain) continue;
    const fine = nearest(table, spreads, at(fineSpread, t)), other = nearest(table, spreads, at(spread, t));
    for (let k = 0; k < frames; k++) {
      const delta = at(z, k) - at(depth, t);
      if (!(abs<f64>(delta) <= reach && plane(trust, i + k) > trusted && energyAt(fineCurve, steps, perStep, fine, delta) > nearEnergy)) continue;
      const count = counts + (<usize>(2 * k + (certain ? 0 : 1)) << 2), n = load<i32>(count), place = certain ? k * tiles + n : (k + 1) * tiles - 1 - n;
      store<i32>(count, n + 1);
      put(fineOut, place, plane(fineEnergy, i + k) / (at(fineOwn, t) * energyAt(fineCurve, steps, perStep, fine, delta - at(fineBend, t)) + at(fineNoise, k)));
      put(out, place, plane(energy, i + k) / (at(own, t) * energyAt(curve, steps, perStep, other, delta - at(bend, t)) + at(noise, k)));
    }
  }
}

/** Tiles trusted by more than `least` within `reach` of each frame (i32 each), and the sum of their squared spreads (f64 each), both 0 before. */
export function tilesNear(z: usize, frames: i32, depth: usize, spread: usize, trust: usize, tiles: i32, least: f64, reach: f64, near: usize, squares: usize): void {
  for (let t = 0; t < tiles; t++) {
    if (!(at(trust, t) > least)) continue;
    const here = at(depth, t), square = at(spread, t) * at(spread, t);
    for (let k = 0; k < frames; k++) if (abs<f64>(at(z, k) - here) < reach) {
      store<i32>(near + (<usize>k << 2), whole(near, k) + 1);
      put(squares, k, at(squares, k) + square);
    }
  }
}

/**
 * Of entries out of reach, the weaker ones: the median of what is measured beyond what the model expects there, over the noise.
 *
 * @param job i32: tiles, frames, steps of a curve, spreads; then addresses: spreads, a curve's energy and kinship, z, depth, bend, spread, own energy, energy around, tileTrust, noise (f64), energy, trust (f32),
 * and room for three f64 an entry
 * @param far least defocus; @param chance share of the tiles' differences that is; @param shape median of a mean of squares against its mean
 * @param relied, trusted what a tile's trust and an entry's must exceed; @param weak share of the entries called so; @param least entries
 * @returns NaN where there are too few entries
 */
export function farRatio(job: usize, perStep: f64, far: f64, chance: f64, shape: f64, relied: f64, trusted: f64, weak: f64, least: f64): f64 {
  const tiles = whole(job, 0), frames = whole(job, 1), steps = whole(job, 2), spreads = whole(job, 3), table = <usize>whole(job, 4), curve = <usize>whole(job, 5), kinship = <usize>whole(job, 6), z = <usize>whole(job, 7), depth = <usize>whole(job, 8);
  const bend = <usize>whole(job, 9), spread = <usize>whole(job, 10), own = <usize>whole(job, 11), around = <usize>whole(job, 12), tileTrust = <usize>whole(job, 13), noise = <usize>whole(job, 14), energy = <usize>whole(job, 15), trust = <usize>whole(job, 16);
  const bytes = <usize>(tiles * frames) << 3, ratio = <usize>whole(job, 17), strength = ratio + bytes, ordered = strength + bytes;
  let n = 0;
  for (let t = 0, i = 0; t < tiles; t++, i += frames) {
    if (at(tileTrust, t) <= relied) continue;
    const mine = at(own, t), s = nearest(table, spreads, at(spread, t)), middle = at(depth, t) + at(bend, t), others = at(around, t);
    for (let k = 0; k < frames; k++) {
      const delta = at(z, k) - middle;
      if ((delta <= far && delta >= -far) || plane(trust, i + k) <= trusted) continue;
      const j = <i32>min<f64>(floor<f64>(abs<f64>(delta) / perStep + 0.5), <f64>(steps - 1)), away = chance * (1 - at(kinship, j)), expected = energyAt(curve, steps, perStep, s, delta) * (mine + away * (others - mine));
      put(ratio, n, plane(energy, i + k) / at(noise, k) / shape - expected / at(noise, k));
      put(strength, n++, mine / at(noise, k));
    }
  }
  if (<f64>n < least) return NaN;
  memory.copy(ordered, strength, <usize>n << 3);
  const limit = quantileOf(ordered, n, weak);
  let kept = 0;
  for (let i = 0; i < n; i++) if (at(strength, i) <= limit) put(ratio, kept++, at(ratio, i));
  return medianOf(ratio, kept);
}
