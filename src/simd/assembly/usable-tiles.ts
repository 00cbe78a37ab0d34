// AssemblyScript, compiled to SIMD WebAssembly by scripts/build.mjs: loops over all tiles and frames of src/ladder/silhouette.ts, plain-usable-tiles.ts, steady-tiles.ts, choose-tiles.ts and grown-mask.ts,
// by the same arithmetic; tests/unit/fast-usable-tiles.test.ts holds them together. Planes are f32, tile × frame.

@inline function at(values: usize, i: i32): f64 { return load<f64>(values + (<usize>i << 3)); }
@inline function put(values: usize, i: i32, value: f64): void { store<f64>(values + (<usize>i << 3), value); }
@inline function plane(values: usize, i: i32): f64 { return <f64>load<f32>(values + (<usize>i << 2)); }

/**
 * Tiles along the edge of a lit subject: those darker than one within `reach` by more than `darker` are ground, others brighter than one by that are rim.
 * @param light f64, @param inside u8 a tile; @param room four f64 a tile; @param ground, rim u8 a tile, 0 before
 */
export function outline(light: usize, inside: usize, rows: i32, columns: i32, darker: f64, reach: i32, room: usize, ground: usize, rim: usize): void {
  const tiles = rows * columns, bytes = <usize>tiles << 3, low = room, high = low + bytes, lowest = high + bytes, highest = lowest + bytes;
  for (let i = 0; i < tiles; i++) { put(low, i, Infinity); put(lowest, i, Infinity); put(high, i, -Infinity); put(highest, i, -Infinity); }
  for (let r = 0, i = 0; r < rows; r++) for (let c = 0; c < columns; c++, i++) {
    if (!load<u8>(inside + i)) continue;
    const v = at(light, i);
    for (let j = i - min(reach, c), end = i + min(reach, columns - 1 - c); j <= end; j++) {
      if (v < at(low, j)) put(low, j, v);
      if (v > at(high, j)) put(high, j, v);
    }
  }
  for (let r = 0; r < rows; r++) for (let y = max(0, r - reach), bottom = min(rows - 1, r + reach); y <= bottom; y++) for (let c = 0, i = r * columns, j = y * columns; c < columns; c++, i++, j++) {
    if (at(low, j) < at(lowest, i)) put(lowest, i, at(low, j));
    if (at(high, j) > at(highest, i)) put(highest, i, at(high, j));
  }
  for (let i = 0; i < tiles; i++) {
    if (!load<u8>(inside + i)) continue;
    if (at(highest, i) - at(light, i) > darker) store<u8>(ground + i, 1);
    else if (at(light, i) - at(lowest, i) > darker) store<u8>(rim + i, 1);
  }
}

/** Marks with `mark` those tiles of 1 in `tiles` (u8 each) in which a band's energy rises above its noise (f64 a frame) by more than `most` in any frame. */
export function markRising(energy: usize, noise: usize, count: i32, frames: i32, most: f64, tiles: usize, mark: i32): void {
  for (let t = 0; t < count; t++, energy += <usize>frames << 2) {
    if (load<u8>(tiles + t) != 1) continue;
    for (let k = 0; k < frames; k++) if (plane(energy, k) - at(noise, k) > most) { store<u8>(tiles + t, mark); break; }
  }
}

/** Of the places in `tile` (i32), those are kept that aren't flagged in `rim` and whose detail beyond the noise lies by a share of `least` in values trusted. @returns how many */
export function keepSteady(energy: usize, noise: usize, trust: usize, frames: i32, tile: usize, count: i32, rim: usize, least: f64, out: usize): i32 {
  let n = 0;
  for (let i = 0; i < count; i++) {
    const t = load<i32>(tile + (<usize>i << 2)), from = t * frames;
    if (load<u8>(rim + t)) continue;
    let all: f64 = 0, trusted: f64 = 0;
    for (let k = 0; k < frames; k++) {
      const detail = max<f64>(0, plane(energy, from + k) - at(noise, k));
      all += detail;
      trusted += plane(trust, from + k) * detail;
    }
    if (trusted >= least * all) { store<i32>(out + (<usize>n << 2), t); n++; }
  }
  return n;
}

/** The frame in which each of some tiles (i32) is sharpest, by the sum of two bands over their noise floors. */
export function sharpestFrames(fine: usize, middle: usize, fineNoise: usize, middleNoise: usize, fineFloor: f64, middleFloor: f64, frames: i32, tile: usize, count: i32, out: usize): void {
  for (let i = 0; i < count; i++) {
    const from = load<i32>(tile + (<usize>i << 2)) * frames;
    let best = -Infinity, found = 0;
    for (let k = 0; k < frames; k++) {
      const value = (plane(fine, from + k) - at(fineNoise, k)) / fineFloor + (plane(middle, from + k) - at(middleNoise, k)) / middleFloor;
      if (value > best) { best = value; found = k; }
    }
    store<i32>(out + (<usize>i << 2), found);
  }
}

/** Marks in `out` (u8 each, 0 before) what is marked in `mask`, and the tiles around it. */
export function growMask(mask: usize, rows: i32, columns: i32, out: usize): void {
  for (let r = 0, i = 0; r < rows; r++) for (let c = 0; c < columns; c++, i++) {
    if (!load<u8>(mask + i)) continue;
    const left = max(0, c - 1), wide = min(columns - 1, c + 1) - left + 1;
    for (let y = max(0, r - 1), bottom = min(rows - 1, r + 1); y <= bottom; y++) memory.fill(out + y * columns + left, 1, wide);
  }
}
