// AssemblyScript, compiled to WebAssembly by scripts/build.mjs: what src/ladder/plain-seen-depths.ts, edge-trust.ts and local-energy.ts find of the tiles around
// each, by the same arithmetic; tests/unit/fast-look-around.test.ts holds them together.
import { medianOf } from './select';

/** A map of depths (f64, rows × columns; NaN where unknown) and room for what is found of it; written by src/ladder/fast-look-around.ts, which lists the fields in the same order. */
@unmanaged class Map {
  rows: i32; columns: i32; depth: usize;
  /** Tiles along an edge of a block; tiles on either side that roughness is averaged over. */
  block: i32; reach: i32;
  /** f64 a block: median squared steps along rows and down columns. */
  across: usize; down: usize;
  /** f64 a tile. */
  bends: usize; rough: usize; fold: usize;
  /** f64: as many as tiles, and as two blocks have. */
  room: usize;
  /** f64: share of roughness that is not seen, most scatter, median of roughness against its mean, noise of a bend, most that a step counts, most that a bend does. */
  laws: usize;
}

@inline function at(values: usize, i: i32): f64 { return load<f64>(values + (i << 3)); }
@inline function put(values: usize, i: i32, value: f64): void { store<f64>(values + (i << 3), value); }
@inline function unknown(value: f64): bool { return value !== value; }

function usualSteps(map: Map): void {
  const rows = map.rows, columns = map.columns, edge = map.block, depth = map.depth, right = map.room, below = map.room + ((edge * edge) << 3);
  let block = 0;
  for (let top = 0; top < rows; top += edge) for (let left = 0; left < columns; left += edge, block++) {
    let rights = 0, belows = 0;
    for (let r = top, bottom = min(rows, top + edge); r < bottom; r++) for (let c = left, end = min(columns, left + edge); c < end; c++) {
      const i = r * columns + c, here = at(depth, i);
      if (unknown(here)) continue;
      if (c + 1 < columns) { const x = at(depth, i + 1) - here; if (!unknown(x)) put(right, rights++, x * x); }
      if (r + 1 < rows) { const y = at(depth, i + columns) - here; if (!unknown(y)) put(below, belows++, y * y); }
    }
    put(map.across, block, rights ? medianOf(right, rights) : 0);
    put(map.down, block, belows ? medianOf(below, belows) : 0);
  }
}

/** Bend, roughness and fold of every tile whose eight neighbours are known. */
function bendAll(map: Map): void {
  const rows = map.rows, columns = map.columns, depth = map.depth, blocks = (columns + map.block - 1) / map.block, mostBend = at(map.laws, 5);
  for (let i = 0, all = rows * columns; i < all; i++) { put(map.bends, i, 0); put(map.fold, i, 0); put(map.rough, i, NaN); }
  for (let r = 1; r < rows - 1; r++) for (let c = 1; c < columns - 1; c++) {
    const i = r * columns + c;
    let z: f64 = 0, xz: f64 = 0, yz: f64 = 0, zz: f64 = 0, xxz: f64 = 0, yyz: f64 = 0, xyz: f64 = 0;
    for (let y = -1; y <= 1; y++) for (let x = -1; x <= 1; x++) {
      const d = at(depth, i + y * columns + x);
      z += d; xz += <f64>x * d; yz += <f64>y * d; zz += d * d; xxz += <f64>(x * x) * d; yyz += <f64>(y * y) * d; xyz += <f64>(y * x) * d;
    }
    if (unknown(z)) continue;
    const bendX = (xxz - (2.0 / 3.0) * z) / 2, bendY = (yyz - (2.0 / 3.0) * z) / 2, bend = bendX + bendY;
    const left = zz - (z * z) / 9 - (xz * xz + yz * yz) / 6 - 2 * (bendX * bendX + bendY * bendY) - (xyz * xyz) / 4;
    const block = (r / map.block) * blocks + c / map.block, step = at(map.across, block) + at(map.down, block), most = mostBend * sqrt(step);
    put(map.fold, i, abs(bend));
    put(map.bends, i, max(-most, min(most, bend)));
    put(map.rough, i, min(max<f64>(0, left) / 3, step));
  }
}

/** Mean squared steps between neighbours in the 3 × 3 tiles around one, along rows and down columns, added. */
function steepness(map: Map, row: i32, column: i32, mostAcross: f64, mostDown: f64): f64 {
  const rows = map.rows, columns = map.columns, depth = map.depth;
  let across: f64 = 0, down: f64 = 0, acrossCount = 0, downCount = 0;
  for (let r = max(0, row - 1); r <= min(rows - 1, row + 1); r++) for (let c = max(0, column - 1); c <= min(columns - 1, column + 1); c++) {
    const i = r * columns + c, here = at(depth, i);
    if (unknown(here)) continue;
    if (c <= column && c + 1 < columns) { const step = at(depth, i + 1) - here; if (!unknown(step)) { across += min(step * step, mostAcross); acrossCount++; } }
    if (r <= row && r + 1 < rows) { const step = at(depth, i + columns) - here; if (!unknown(step)) { down += min(step * step, mostDown); downCount++; } }
  }
  return across / <f64>max(1, acrossCount) + down / <f64>max(1, downCount);
}

function meanAround(map: Map, row: i32, column: i32): f64 {
  const columns = map.columns;
  let sum: f64 = 0, n = 0;
  for (let r = max(0, row - map.reach); r <= min(map.rows - 1, row + map.reach); r++) for (let c = max(0, column - map.reach); c <= min(columns - 1, column + map.reach); c++) {
    const v = at(map.rough, r * columns + c);
    if (!unknown(v)) { sum += v; n++; }
  }
  return n ? sum / <f64>n : 0;
}

/**
 * Depths that each band sees at the tiles asked about (i32).
 *
 * @param windows f64 a band: variance along an axis of its window, tiles squared
 * @param shown f64 a band: share of the depths' variance that shows
 * @param spread, bend f64, band × tile asked about
 */
export function seenDepths(map: Map, variance: f64, bands: i32, windows: usize, shown: usize, asked: usize, count: i32, spread: usize, bend: usize): void {
  usualSteps(map);
  bendAll(map);
  const columns = map.columns, blocks = (columns + map.block - 1) / map.block;
  let known = 0;
  for (let i = 0, all = map.rows * columns; i < all; i++) { const v = at(map.rough, i); if (!unknown(v)) put(map.room, known++, v); }
  const noise = known ? min(at(map.laws, 1) * variance, medianOf(map.room, known) / at(map.laws, 2)) : variance;
  const unseenShare = at(map.laws, 0), bendNoise = at(map.laws, 3), mostStep = at(map.laws, 4);
  for (let n = 0; n < count; n++) {
    const i = load<i32>(asked + (n << 2)), r = i / columns, c = i % columns;
    if (unknown(at(map.depth, i))) { for (let b = 0; b < bands; b++) { put(spread, b * count + n, 0); put(bend, b * count + n, 0); } continue; }
    const block = (r / map.block) * blocks + c / map.block, slope = steepness(map, r, c, mostStep * at(map.across, block), mostStep * at(map.down, block));
    const steep = max<f64>(0, slope - 4 * noise), unseen = unseenShare * max<f64>(0, meanAround(map, r, c) - noise), own = at(map.bends, i), square = own * own;
    const believed = square > 0 ? square / (square + bendNoise * noise) : 0;
    for (let b = 0; b < bands; b++) {
      const window = at(windows, b);
      put(spread, b * count + n, sqrt((steep * window + unseen) * at(shown, b)));
      put(bend, b * count + n, believed * own * (window - at(windows, 0)));
    }
  }
}

/** Shares of the known tiles around each one asked about (i32), up to `reach` away, that lie more than `limit` nearer or farther; f64. */
export function otherShares(depth: usize, rows: i32, columns: i32, asked: usize, count: i32, reach: i32, limit: f64, out: usize): void {
  for (let n = 0; n < count; n++) {
    const i = load<i32>(asked + (n << 2)), r = i / columns, c = i % columns, here = at(depth, i);
    let other = 0, known = 0;
    for (let y = max(0, r - reach), bottom = min(rows - 1, r + reach); y <= bottom; y++) for (let x = max(0, c - reach), end = min(columns - 1, c + reach); x <= end; x++) {
      const d = at(depth, y * columns + x);
      if (unknown(d)) continue;
      known++;
      if (abs(d - here) > limit) other++;
    }
    put(out, n, known ? <f64>other / <f64>known : 0);
  }
}

/**
 * Mean energy of the tiles around each, up to `reach` away and within `limit` of its depth; its own where these are fewer than `least`.
 *
 * @param tile i32: places on the grid; `place`: i32, room for the grid; `near`: i32, room for the tiles around one
 * @param depth f64 a tile; `own`, `mean`: f64, band × tile
 * @param enough u8 a tile: 1 where there were as many as `least`
 */
export function localMeans(tile: usize, count: i32, rows: i32, columns: i32, depth: usize, bands: i32, own: usize, reach: i32, limit: f64, least: i32, place: usize, near: usize, mean: usize, enough: usize): void {
  memory.fill(place, 0xff, (rows * columns) << 2);
  for (let n = 0; n < count; n++) store<i32>(place + (load<i32>(tile + (n << 2)) << 2), n);
  for (let n = 0; n < count; n++) {
    const i = load<i32>(tile + (n << 2)), r = i / columns, c = i % columns, here = at(depth, n);
    let found = 0;
    for (let y = max(0, r - reach), bottom = min(rows - 1, r + reach); y <= bottom; y++) for (let x = max(0, c - reach), end = min(columns - 1, c + reach); x <= end; x++) {
      const other = load<i32>(place + ((y * columns + x) << 2));
      if (other >= 0 && abs(at(depth, other) - here) < limit) store<i32>(near + (found++ << 2), other);
    }
    store<u8>(enough + n, found < least ? 0 : 1);
    for (let b = 0; b < bands; b++) {
      const values = own + ((b * count) << 3);
      let sum: f64 = 0;
      for (let m = 0; m < found; m++) sum += at(values, load<i32>(near + (m << 2)));
      put(mean, b * count + n, found < least ? at(values, n) : sum / <f64>found);
    }
  }
}
