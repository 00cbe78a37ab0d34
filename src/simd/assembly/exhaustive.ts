// AssemblyScript, compiled to SIMD WebAssembly by scripts/build.mjs: the arithmetic of src/ladder/exhaustive-depth.ts and
// exhaustive-position.ts in single precision, and of solve-tiles.ts; tests/unit/fast-ladder.test.ts holds them together.
import { plus } from './fused';

/** Depths whose sums are made in one pass over the frames; they are two steps of the grid apart. */
const DEPTHS: i32 = 16;

/** √ of a focus curve's energy at a defocus; `energy`: f32, `perStep` places a DOF. */
@inline function rootAt(energy: usize, perStep: f64, last: f64, defocus: f64): f32 {
  const x = min<f64>(abs<f64>(defocus) * perStep, last), j = <i32>x, f = <f32>(x - <f64>j), at = energy + (j << 2), here = load<f32>(at);
  return sqrt<f32>(here + f * (load<f32>(at, 4) - here));
}

/** Of a group of 16 depths: frames from … to that any of them reaches, in depth order, and rows of the table before the group's. */
@unmanaged class Group { from: i32; to: i32; row: i32; }
@inline function groupOf(groups: usize, g: i32): Group { return changetype<Group>(groups + g * 12); }
@inline function rowOf(table: usize, row: i32): usize { return table + ((row * DEPTHS) << 2); }

/**
 * What the frames within reach show of a tile at every depth of a grid: f32, group by group, frame × depth; 0 out of reach.
 * `perSquare`: f32, 1/Σ square a depth.
 */
export function depthTable(energy: usize, perStep: f64, last: f64, reach: f64, z: usize, lowest: f64, step: f64, groups: usize, count: i32, table: usize, perSquare: usize): void {
  for (let g = 0; g < count; g++) {
    const group = groupOf(groups, g);
    for (let i = 0; i < DEPTHS; i++) {
      const depth = lowest + <f64>(g * DEPTHS + i) * step;
      let square: f64 = 0;
      for (let a = group.from; a < group.to; a++) {
        const defocus = load<f64>(z + (a << 3)) - depth, value: f32 = abs<f64>(defocus) > reach ? 0 : rootAt(energy, perStep, last, defocus);
        store<f32>(rowOf(table, group.row + a - group.from) + (i << 2), value);
        square += <f64>value * <f64>value;
      }
      store<f32>(perSquare + ((g * DEPTHS + i) << 2), square > 1e-9 ? <f32>(1 / square) : 0);
    }
  }
}

/**
 * Adds what one band of a tile says for every depth: weight · (Σ amplitude · shown)² / Σ shown². `values`: f32, a frame each, in the table's order.
 */
function addBand(values: usize, weight: f32, groups: usize, count: i32, table: usize, perSquare: usize, taken: usize): void {
  const w = f32x4.splat(weight);
  for (let g = 0; g < count; g++) {
    const group = groupOf(groups, g), to = group.to;
    let s0 = f32x4.splat(0), s1 = s0, s2 = s0, s3 = s0;
    for (let a = group.from, h = rowOf(table, group.row); a < to; a++, h += DEPTHS << 2) {
      const v = v128.load32_splat(values + (a << 2));
      s0 = plus(v, v128.load(h), s0);
      s1 = plus(v, v128.load(h, 16), s1);
      s2 = plus(v, v128.load(h, 32), s2);
      s3 = plus(v, v128.load(h, 48), s3);
    }
    const o = (g * DEPTHS) << 2, p = perSquare + o, to4 = taken + o;
    v128.store(to4, plus(f32x4.mul(w, f32x4.mul(s0, s0)), v128.load(p), v128.load(to4)));
    v128.store(to4, plus(f32x4.mul(w, f32x4.mul(s1, s1)), v128.load(p, 16), v128.load(to4, 16)), 16);
    v128.store(to4, plus(f32x4.mul(w, f32x4.mul(s2, s2)), v128.load(p, 32), v128.load(to4, 32)), 32);
    v128.store(to4, plus(f32x4.mul(w, f32x4.mul(s3, s3)), v128.load(p, 48), v128.load(to4, 48)), 48);
  }
}

/**
 * √(energy − noise), 0 below the noise, and 1/variance of each tile's: f32 tile × frame, and f64 a tile.
 *
 * @param energy f32, tile × frame; `tile`: i32, the rows that are wanted, counted from `first`; 0: all
 * @param noise f64 a frame
 */
export function takeAmplitudes(energy: usize, tile: usize, first: i32, count: i32, frames: i32, noise: usize, least: f64, modelSquare: f64, amplitude: usize, weight: usize): void {
  for (let t = 0, to = amplitude; t < count; t++) {
    const row = tile ? load<i32>(tile + (t << 2)) - first : t;
    let peak: f64 = 0;
    for (let k = 0, from = energy + ((row * frames) << 2); k < frames; k++, from += 4, to += 4) {
      const square = <f64>load<f32>(from) - load<f64>(noise + (k << 3));
      store<f32>(to, square <= 0 ? 0 : <f32>sqrt<f64>(square));
      if (square > peak) peak = square;
    }
    store<f64>(weight + (t << 3), 1 / (least + modelSquare * peak + 1e-30));
  }
}

/** Tables of a band of a tile: of the even places on the grid, then of the odd ones, of each what is shown and 1/Σ square. */
@inline function tablesOf(tables: usize, kinds: i32, b: i32, spread: usize): usize { return tables + ((b * kinds + <i32>load<u8>(spread)) << 4); }
/** Those of one place. */
@inline function shownAt(own: usize, at: i32): usize { return load<usize>(own + ((at & 1) << 3)); }
@inline function perSquareAt(own: usize, at: i32): f32 { return load<f32>(load<usize>(own + ((at & 1) << 3), 4) + ((at >> 1) << 2)); }
@inline function groupAt(groups: usize, at: i32): Group { return groupOf(groups, (at >> 1) / DEPTHS); }

/** Σ amplitude · shown of one band at one place. @param values f32 a frame, in depth order */
@inline function shownSum(values: usize, own: usize, groups: usize, at: i32): f32 {
  const group = groupAt(groups, at);
  let sum: f32 = 0;
  for (let a = group.from, h = rowOf(shownAt(own, at), group.row) + (((at >> 1) % DEPTHS) << 2); a < group.to; a++, h += DEPTHS << 2) sum += load<f32>(values + (a << 2)) * load<f32>(h);
  return sum;
}

/**
 * The best depth of every tile: of every second place on the grid, then of those beside the best. `values`: f32, band × tile × frame, put into the order given (i32) here;
 * `weight`: f64, band × tile; `spreads`: u8, band × tile, which of a band's `kinds` of tables are the tile's; `tables`: band × kind × four addresses ({@link tablesOf}), by groups of
 * places of one parity; `line`, `taken`: room for f32 × frames and × 16 × groups. Writes f64 place on the grid and cost a tile, and f64 amplitude, band × tile.
 */
export function bestDepths(tiles: i32, bands: i32, frames: i32, steps: i32, groups: usize, count: i32, values: usize, order: usize, weight: usize, spreads: usize, tables: usize, kinds: i32, line: usize, taken: usize,
  place: usize, cost: usize, amplitude: usize): void {
  for (let t = 0; t < tiles; t++) {
    memory.fill(taken, 0, (count * DEPTHS) << 2);
    for (let b = 0; b < bands; b++) {
      const i = b * tiles + t, from = values + ((i * frames) << 2);
      for (let a = 0; a < frames; a++) store<f32>(line + (a << 2), load<f32>(from + (load<i32>(order + (a << 2)) << 2)));
      memory.copy(from, line, frames << 2);
      const own = tablesOf(tables, kinds, b, spreads + i);
      addBand(line, <f32>load<f64>(weight + (i << 3)), groups, count, load<usize>(own), load<usize>(own, 4), taken);
    }
    let most = load<f32>(taken), at = 0;
    for (let i = 1, end = (steps + 1) >> 1; i < end; i++) { const value = load<f32>(taken + (i << 2)); if (value > most) { most = value; at = i << 1; } }
    const second = at;
    for (let i = second - 1; i <= second + 1; i += 2) {
      if (i < 0 || i >= steps) continue;
      let value: f32 = 0;
      for (let b = 0; b < bands; b++) {
        const n = b * tiles + t, own = tablesOf(tables, kinds, b, spreads + n), sum = shownSum(values + ((n * frames) << 2), own, groups, i);
        value += <f32>load<f64>(weight + (n << 3)) * (sum * sum) * perSquareAt(own, i);
      }
      if (value > most) { most = value; at = i; }
    }
    const group = groupAt(groups, at);
    let whole: f64 = 0;
    for (let b = 0; b < bands; b++) {
      const i = b * tiles + t, own = tablesOf(tables, kinds, b, spreads + i), shown = rowOf(shownAt(own, at), group.row) + (((at >> 1) % DEPTHS) << 2), perSquare = <f64>perSquareAt(own, at), v = values + ((i * frames) << 2), w = load<f64>(weight + (i << 3));
      let sum: f64 = 0, squares: f64 = 0;
      for (let a = 0; a < frames; a++) { const value = <f64>load<f32>(v + (a << 2)); squares += value * value; }
      for (let a = group.from; a < group.to; a++) sum += <f64>load<f32>(v + (a << 2)) * <f64>load<f32>(rowOf(shown, a - group.from));
      whole += w * (squares - sum * sum * perSquare);
      store<f64>(amplitude + (i << 3), max<f64>(sum * perSquare, 1e-9));
    }
    store<f64>(place + (t << 3), <f64>at);
    store<f64>(cost + (t << 3), whole);
  }
}

/**
 * Adds one band's costs of every frame at every place of a grid: Σ weight · model · (model − 2 · amplitude). `energies`: f32, spread × defocus, of `spreadBytes` each;
 * `spread`: u8 a tile; `depth`, `amplitude`, `weight`: f64 a tile; `values`: f32, tile × frame; `line`: room for `wide` f32, frames filled up to fours; `byPlace`: f32, place × wide.
 */
export function addPlaces(energies: usize, spreadBytes: i32, perStep: f64, last: f64, reach: f64, tiles: i32, spread: usize, depth: usize, amplitude: usize, weight: usize, lowest: f64, step: f64, places: i32,
  frames: i32, wide: i32, values: usize, line: usize, byPlace: usize): void {
  memory.fill(line, 0, wide << 2);
  for (let t = 0; t < tiles; t++) {
    const d = load<f64>(depth + (t << 3)), a = <f32>load<f64>(amplitude + (t << 3)), w = <f32>load<f64>(weight + (t << 3)), energy = energies + spreadBytes * <i32>load<u8>(spread + t);
    const first = max<i32>(0, <i32>Math.ceil((d - reach - lowest) / step)), end = min<i32>(places - 1, <i32>Math.floor((d + reach - lowest) / step));
    memory.copy(line, values + ((t * frames) << 2), frames << 2);
    for (let i = first; i <= end; i++) {
      const model = a * rootAt(energy, perStep, last, lowest + <f64>i * step - d), wm = f32x4.splat(w * model), m = f32x4.splat(model), row = byPlace + ((i * wide) << 2);
      for (let k = 0; k < wide; k += 4) {
        const v = v128.load(line + (k << 2)), at = row + (k << 2);
        v128.store(at, plus(wm, f32x4.sub(m, f32x4.add(v, v)), v128.load(at)));
      }
    }
  }
}
