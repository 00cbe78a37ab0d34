// AssemblyScript, compiled to SIMD WebAssembly by scripts/build.mjs: loops over all tiles and frames of src/ladder/tile-stack.ts, by the same arithmetic;
// tests/unit/fast-tile-stack.test.ts holds the two together. Planes are f32, tile × frame.
import { medianOf, quantileOf } from './select';

@inline function at(values: usize, i: i32): f64 { return load<f64>(values + (i << 3)); }
@inline function put(values: usize, i: i32, value: f64): void { store<f64>(values + (i << 3), value); }
@inline function plane(values: usize, i: i32): f64 { return <f64>load<f32>(values + (i << 2)); }
@inline function set(values: usize, i: i32, value: f64): void { store<f32>(values + (i << 2), <f32>value); }

/**
 * Takes each tile's median out of `change`, then each frame's over some tiles.
 *
 * @param inside u8 a tile: those that frames are told by, of every `stride`-th
 * @param light f64 a tile, @param gain f64 a frame: the medians; @param room f64: as many as tiles, or frames
 * @returns false, and nothing done, where a value is not a number
 */
export function takeOutExposure(change: usize, inside: usize, tiles: i32, frames: i32, stride: i32, room: usize, light: usize, gain: usize): bool {
  for (let i = 0; i < tiles * frames; i++) if (plane(change, i) !== plane(change, i)) return false;
  for (let t = 0, from = change; t < tiles; t++, from += frames << 2) {
    for (let k = 0; k < frames; k++) put(room, k, plane(from, k));
    const middle = medianOf(room, frames);
    put(light, t, middle);
    for (let k = 0; k < frames; k++) set(from, k, plane(from, k) - middle);
  }
  for (let k = 0; k < frames; k++) {
    let n = 0;
    for (let t = 0; t < tiles; t += stride) if (load<u8>(inside + t)) put(room, n++, plane(change, t * frames + k));
    put(gain, k, n ? medianOf(room, n) : 0);
  }
  for (let t = 0, from = change; t < tiles; t++, from += frames << 2) for (let k = 0; k < frames; k++) set(from, k, plane(from, k) - at(gain, k));
  return true;
}

/** Multiplies every frame with a factor of its own (f64). */
export function scaleFrames(values: usize, tiles: i32, frames: i32, factor: usize): void {
  for (let t = 0; t < tiles; t++, values += frames << 2) for (let k = 0; k < frames; k++) set(values, k, plane(values, k) * at(factor, k));
}

/**
 * Trust from what is left of brightness: every `stride`-th value of the tiles inside tells what is usual.
 * @param room f64: as many as are looked at; @param factor, least usual spread to the limit
 */
export function trustFrom(change: usize, inside: usize, tiles: i32, frames: i32, stride: i32, room: usize, factor: f64, least: f64, trust: usize): void {
  const count = tiles * frames;
  let n = 0;
  for (let i = 0; i < count; i += stride) if (load<u8>(inside + i / frames)) put(room, n++, abs<f64>(plane(change, i)));
  const limit = factor * (n ? medianOf(room, n) : 0) + least;
  for (let i = 0; i < count; i++) {
    const share = plane(change, i) / limit, square = share * share;
    set(trust, i, 1 / (1 + square * square));
  }
}

/**
 * Share `q` of the means of blocks of `edge` × `edge` whole tiles, each frame by itself; one block where there are fewer.
 * @param room f64: as many as blocks times frames
 */
export function quietBlocks(fine: usize, gridRows: i32, gridColumns: i32, frames: i32, edge: i32, q: f64, room: usize): f64 {
  let n = 0;
  for (let r = 0; r + edge <= gridRows || r === 0; r += edge) for (let c = 0; c + edge <= gridColumns || c === 0; c += edge) for (let k = 0; k < frames; k++) {
    let sum: f64 = 0, tiles = 0;
    for (let i = r; i < min(gridRows, r + edge); i++) for (let j = c; j < min(gridColumns, c + edge); j++, tiles++) sum += plane(fine, (i * gridColumns + j) * frames + k);
    put(room, n++, sum / <f64>tiles);
  }
  return quantileOf(room, n, q);
}

/** Puts what was read frame by frame tile by tile: `frames` lines of f32, a value a tile each, become `tiles` lines of a value a frame. */
export function byTile(read: usize, frames: i32, tiles: i32, out: usize): void {
  for (let t = 0; t < tiles; t++, read += 4) for (let k = 0, from = read; k < frames; k++, from += tiles << 2, out += 4) store<f32>(out, load<f32>(from));
}

/**
 * Sums of squared differences between frames, over lines of one value (f64) a frame.
 * @param out f64, frames × frames: its lower half is added to
 */
export function unlikeness(lines: usize, count: i32, frames: i32, out: usize): void {
  for (let i = 0; i < count; i++, lines += frames << 3) for (let a = 1; a < frames; a++) {
    const v = at(lines, a), row = out + ((a * frames) << 3);
    for (let k = 0; k < a; k++) { const d = v - at(lines, k); put(row, k, at(row, k) + d * d); }
  }
}
