// AssemblyScript, compiled to SIMD WebAssembly by scripts/build.mjs. The same arithmetic as src/image and src/sharpness, four pixels
// at a time and row by row, so that what one step made is still in the processor's cache when the next one reads it;
// tests/unit/simd-measure.test.ts holds the two together. Pictures are f32, row by row, at addresses the caller hands out.
// Over 200 lines: the compiler inlines across these functions only where they stand in one file.
import { plus } from './fused';
import { rootOf } from './light';

export function heapStart(): usize { return __heap_base; }

/** More than any luma; as in pixel-rows.ts. */
const MARK: f32 = 1024;

/**
 * Root of the light of luma, binned, of some rows; brightness and clipped pixels are added up in f64 cells on the way.
 * Row r is put at r modulo `ring`.
 * `tables`: three f32 tables of 256, luma by red, green and blue, weighted by 1/bin²; three more follow that hold MARK more for every clipped code.
 */
export function rootLuminance(pixels: usize, columns: i32, channels: i32, bin: i32, tables: usize, fromRow: i32, toRow: i32, outColumns: i32, out: usize, ring: i32,
  cell: i32, cellRows: i32, cellColumns: i32, brightness: usize, clipped: usize): void {
  const colour = channels >= 3, marked = tables + 3072;
  for (let row = fromRow; row < toRow; row++) {
    const to = out + (((row % ring) * outColumns) << 2), place = (min(cellRows - 1, row / cell) * cellColumns) << 3;
    let column = 0;
    for (let i = 0; i < cellColumns; i++) {
      const stop = i === cellColumns - 1 ? outColumns : min(outColumns, (i + 1) * cell), first = column, at = place + (i << 3);
      let clips = 0;
      if (bin === 1 && colour) for (; column + 4 <= stop; column += 4) {
        const from = pixels + ((row * columns + column) * channels), second = from + channels, third = second + channels, fourth = third + channels;
        let luma = f32x4(lumaOf(from, marked), lumaOf(second, marked), lumaOf(third, marked), lumaOf(fourth, marked));
        const over = i32x4.bitmask(f32x4.ge(luma, f32x4.splat(MARK)));
        if (over) {
          clips += popcnt(over);
          luma = f32x4(lumaOf(from, tables), lumaOf(second, tables), lumaOf(third, tables), lumaOf(fourth, tables));
        }
        v128.store(to + (column << 2), luma);
      }
      for (; column < stop; column++) {
        let luma: f32 = 0, clip = 0;
        for (let i = 0; i < bin; i++) for (let j = 0; j < bin; j++) {
          const from = pixels + (((row * bin + i) * columns + column * bin + j) * channels);
          if (colour) { luma += lumaOf(from, tables); clip |= i32(lumaOf(from, marked) >= MARK); }
          else { const code = <usize>load<u8>(from) << 2; luma += load<f32>(tables + code); clip |= i32(load<f32>(marked + code) >= MARK); }
        }
        store<f32>(to + (column << 2), luma);
        clips += clip;
      }
      let part = f32x4.splat(0), sum: f32 = 0, x = first;
      for (; x + 4 <= stop; x += 4) { const root = rootOf(v128.load(to + (x << 2))); v128.store(to + (x << 2), root); part = f32x4.add(part, root); }
      for (; x < stop; x++) { const root = f32x4.extract_lane(rootOf(v128.load32_splat(to + (x << 2))), 0); store<f32>(to + (x << 2), root); sum += root; }
      store<f64>(brightness + at, load<f64>(brightness + at) + <f64>(sum + sumOf(part)));
      if (clips) store<f64>(clipped + at, load<f64>(clipped + at) + <f64>clips);
    }
  }
}

@inline function lumaOf(from: usize, tables: usize): f32 {
  return load<f32>(tables + (<usize>load<u8>(from) << 2)) + load<f32>(tables + (<usize>load<u8>(from, 1) << 2), 1024) + load<f32>(tables + (<usize>load<u8>(from, 2) << 2), 2048);
}

@inline function sumOf(v: v128): f32 { return f32x4.extract_lane(v, 0) + f32x4.extract_lane(v, 1) + f32x4.extract_lane(v, 2) + f32x4.extract_lane(v, 3); }

@inline function mirror(i: i32, n: i32): i32 {
  const period = 2 * n;
  const j = ((i % period) + period) % period;
  return j < n ? j : period - 1 - j;
}

/** Pixels before and after each row of the rings below, so that vectors may read and write past both ends. */
const PAD: i32 = 64;

/** Bytes that {@link bandRows} needs as scratch: one padded line, one of sums, rings of rows, and where the rows above and below stand. */
export function bandScratch(columns: i32, reach: i32, order: i32): i32 { return ((columns + 2 * PAD) * (2 * reach + 3 + 4 * (order + 1)) + 2 * reach) << 2; }

/** A picture that is filtered while its rows come; written by src/simd/fast-measure.ts, which lists the fields in the same order. */
@unmanaged class Band {
  /** f32; row r stands at r modulo `ring`. */
  picture: usize; ring: i32; rows: i32; columns: i32;
  /** f32: the Gaussian from the centre outwards; reach at most 60. */
  half: usize; reach: i32; order: i32; scratch: usize;
  /** f64 cells that squares are added to; f32 picture that the result is written to instead, where it is not 0. */
  cell: i32; cellRows: i32; cellColumns: i32; sums: usize; out: usize;
  /** About what the pixels are: the filters pass no constant, and rounding is least about it. */
  mean: f32;
  /** Rows taken up so far. */
  step: i32;
}

/**
 * Gaussian on both axes, then the 3×3 Laplacian [1 4 1; 4 −20 4; 1 4 1]/6 `order` times, edges mirrored, of as much of a picture as its first `there` rows allow.
 */
export function bandRows(band: Band, there: i32): void {
  const rows = band.rows, columns = band.columns, half = band.half, reach = band.reach, order = band.order, scratch = band.scratch, cell = band.cell;
  const stride = (columns + 2 * PAD) << 2, across = 2 * reach + 1, line = scratch + (PAD << 2), squares = line + stride, ring = squares + stride, rings = ring + across * stride, places = scratch + (2 + across + 4 * (order + 1)) * stride;
  if (band.step === 0) memory.fill(squares, 0, columns << 2);
  for (const end = there === rows ? rows + reach + order : there; band.step < end; band.step++) {
    const step = band.step, row = step - reach;
    if (step < rows) smoothAcross(band.picture + (((step % band.ring) * columns) << 2), columns, band.mean, half, reach, line, ring + (step % across) * stride);
    if (row < 0) continue;
    if (row < rows) smoothDown(ring, stride, across, row, rows, columns, half, reach, places, rings + (row & 3) * stride);
    for (let i = 1; i <= order; i++) {
      const here = row - i;
      if (here < 0 || here >= rows) continue;
      const from = rings + (i - 1) * 4 * stride, to = rings + (i * 4 + (here & 3)) * stride;
      const up = from + (max(0, here - 1) & 3) * stride, mid = from + (here & 3) * stride, below = from + (min(rows - 1, here + 1) & 3) * stride;
      if (i < order || band.out) laplacianRow(up, mid, below, columns, to);
      if (i < order) continue;
      if (band.out) { memory.copy(band.out + ((here * columns) << 2), to, columns << 2); continue; }
      addSquares(up, mid, below, columns, squares);
      // Added up by cells once all rows of some are there.
      if ((here + 1) % cell === 0 || here === rows - 1) addCells(squares, columns, cell, band.cellColumns, band.sums + ((min(band.cellRows - 1, here / cell) * band.cellColumns) << 3));
    }
  }
}

function smoothAcross(from: usize, columns: i32, mean: f32, half: usize, reach: i32, line: usize, to: usize): void {
  const all = f32x4.splat(mean);
  for (let x = 0; x < columns; x += 4) v128.store(line + (x << 2), f32x4.sub(v128.load(from + (x << 2)), all));
  for (let i = 1; i <= reach; i++) {
    store<f32>(line - (i << 2), load<f32>(line + (mirror(-i, columns) << 2)));
    store<f32>(line + ((columns - 1 + i) << 2), load<f32>(line + (mirror(columns - 1 + i, columns) << 2)));
  }
  const centre = v128.load32_splat(half);
  for (let x = 0; x < columns; x += 16) {
    const at = line + (x << 2);
    let a = f32x4.mul(centre, v128.load(at)), b = f32x4.mul(centre, v128.load(at, 16)), c = f32x4.mul(centre, v128.load(at, 32)), d = f32x4.mul(centre, v128.load(at, 48));
    for (let i = 4, end = reach << 2; i <= end; i += 4) {
      const w = v128.load32_splat(half + i), left = at - i, right = at + i;
      a = plus(w, f32x4.add(v128.load(left), v128.load(right)), a);
      b = plus(w, f32x4.add(v128.load(left, 16), v128.load(right, 16)), b);
      c = plus(w, f32x4.add(v128.load(left, 32), v128.load(right, 32)), c);
      d = plus(w, f32x4.add(v128.load(left, 48), v128.load(right, 48)), d);
    }
    const put = to + (x << 2);
    v128.store(put, a); v128.store(put, b, 16); v128.store(put, c, 32); v128.store(put, d, 48);
  }
}

function smoothDown(ring: usize, stride: i32, across: i32, row: i32, rows: i32, columns: i32, half: usize, reach: i32, places: usize, to: usize): void {
  const middle = ring + (row % across) * stride, centre = v128.load32_splat(half);
  for (let i = 1; i <= reach; i++) {
    const place = places + ((i - 1) << 3);
    store<usize>(place, ring + ((row >= i ? row - i : mirror(row - i, rows)) % across) * stride);
    store<usize>(place, ring + ((row + i < rows ? row + i : mirror(row + i, rows)) % across) * stride, 4);
  }
  for (let x = 0; x < columns; x += 16) {
    const o = x << 2, at = middle + o;
    let a = f32x4.mul(centre, v128.load(at)), b = f32x4.mul(centre, v128.load(at, 16)), c = f32x4.mul(centre, v128.load(at, 32)), d = f32x4.mul(centre, v128.load(at, 48));
    for (let i = 1; i <= reach; i++) {
      const place = places + ((i - 1) << 3), up = load<usize>(place) + o, down = load<usize>(place, 4) + o;
      const w = v128.load32_splat(half + (i << 2));
      a = plus(w, f32x4.add(v128.load(up), v128.load(down)), a);
      b = plus(w, f32x4.add(v128.load(up, 16), v128.load(down, 16)), b);
      c = plus(w, f32x4.add(v128.load(up, 32), v128.load(down, 32)), c);
      d = plus(w, f32x4.add(v128.load(up, 48), v128.load(down, 48)), d);
    }
    const put = to + o;
    v128.store(put, a); v128.store(put, b, 16); v128.store(put, c, 32); v128.store(put, d, 48);
  }
  mirrorEnds(to, columns);
}

@inline function mirrorEnds(row: usize, columns: i32): void {
  store<f32>(row - 4, load<f32>(row));
  store<f32>(row + (columns << 2), load<f32>(row + ((columns - 1) << 2)));
}

/** Sum of the second differences along four columns. */
@inline function bend(up: usize, middle: v128, below: usize): v128 { return f32x4.add(f32x4.sub(v128.load(up), middle), f32x4.sub(v128.load(below), middle)); }

/**
 * The 3 × 3 Laplacian by second differences, b along columns and d along rows: b + d(m + b/6), since [1 4 1] is 6 + [1 −2 1]. Its rounding errors are those of
 * differences, not of the pixels themselves. @param left, here, right m + b/6 of twelve pixels in a row
 */
@inline function laplacian(left: v128, here: v128, right: v128, bend: v128): v128 {
  const before = v128.shuffle<f32>(left, here, 3, 4, 5, 6), behind = v128.shuffle<f32>(here, right, 1, 2, 3, 4);
  return f32x4.add(bend, f32x4.add(f32x4.sub(before, here), f32x4.sub(behind, here)));
}

@inline function bent(middle: v128, bend: v128): v128 { return plus(f32x4.splat(1.0 / 6.0), bend, middle); }

/** Of one row, from the rows above and below. @param squares whether squares are added to what is there */
@inline function laplacianOf(up: usize, mid: usize, below: usize, columns: i32, to: usize, squares: bool): void {
  const first = v128.load(mid - 16), second = v128.load(mid);
  let own = bend(up, second, below), left = bent(first, bend(up - 16, first, below - 16)), here = bent(second, own);
  for (let o: usize = 0, end = <usize>columns << 2; o < end; o += 16) {
    const next = v128.load(mid + o, 16), further = bend(up + o + 16, next, below + o + 16), right = bent(next, further), v = laplacian(left, here, right, own);
    v128.store(to + o, squares ? plus(v, v, v128.load(to + o)) : v);
    left = here; here = right; own = further;
  }
}

function laplacianRow(up: usize, mid: usize, below: usize, columns: i32, to: usize): void {
  laplacianOf(up, mid, below, columns, to, false);
  mirrorEnds(to, columns);
}

function addSquares(up: usize, mid: usize, below: usize, columns: i32, squares: usize): void { laplacianOf(up, mid, below, columns, squares, true); }

/** Adds a row of sums of columns up cell by cell, and empties it. */
export function addCells(row: usize, columns: i32, cell: i32, cellColumns: i32, sums: usize): void {
  let column = 0;
  for (let i = 0; i < cellColumns; i++) {
    const stop = i === cellColumns - 1 ? columns : min(columns, (i + 1) * cell), at = sums + (i << 3);
    let part = f32x4.splat(0), sum: f32 = 0;
    for (; column + 4 <= stop; column += 4) part = f32x4.add(part, v128.load(row + (column << 2)));
    for (; column < stop; column++) sum += load<f32>(row + (column << 2));
    store<f64>(at, load<f64>(at) + <f64>(sum + sumOf(part)));
  }
  memory.fill(row, 0, columns << 2);
}

/** Halves some rows of a picture (numbered in the result) after [1 3 3 1]/8 on each axis; rows stand modulo the rings; `line`: room for one row and 16 bytes before it. */
export function halve(picture: usize, ring: i32, rows: i32, columns: i32, line: usize, fromRow: i32, toRow: i32, out: usize, outRing: i32): void {
  const outColumns = columns >> 1, three = f32x4.splat(3), share = f32x4.splat(1.0 / 64.0);
  for (let row = fromRow; row < toRow; row++) {
    const above = 2 * row > 0 ? 2 * row - 1 : 0, below = 2 * row + 2 < rows ? 2 * row + 2 : 2 * row + 1;
    const a = rowAt(picture, ring, columns, above), b = rowAt(picture, ring, columns, 2 * row), c = rowAt(picture, ring, columns, 2 * row + 1), d = rowAt(picture, ring, columns, below);
    for (let o = 0, end = columns << 2; o < end; o += 16) {
      v128.store(line + o, plus(three, f32x4.add(v128.load(b + o), v128.load(c + o)), f32x4.add(v128.load(a + o), v128.load(d + o))));
    }
    store<f32>(line - 4, load<f32>(line));
    if ((columns & 1) === 0) store<f32>(line + (columns << 2), load<f32>(line + ((columns - 1) << 2)));
    const to = rowAt(out, outRing, outColumns, row);
    let x = 0;
    for (; x + 4 <= outColumns; x += 4) {
      const at = line + (x << 3), first = v128.load(at), second = v128.load(at, 16);
      const inner = f32x4.add(v128.shuffle<f32>(first, second, 0, 2, 4, 6), v128.shuffle<f32>(first, second, 1, 3, 5, 7));
      const outer = f32x4.add(v128.shuffle<f32>(v128.load(at - 4), v128.load(at, 12), 0, 2, 4, 6), v128.shuffle<f32>(v128.load(at, 8), v128.load(at, 24), 0, 2, 4, 6));
      v128.store(to + (x << 2), f32x4.mul(plus(three, inner, outer), share));
    }
    for (; x < outColumns; x++) {
      const at = line + (x << 3);
      store<f32>(to + (x << 2), (load<f32>(at - 4) + load<f32>(at, 8) + 3 * (load<f32>(at) + load<f32>(at, 4))) * (1.0 / 64.0));
    }
  }
}

@inline function rowAt(picture: usize, ring: i32, columns: i32, row: i32): usize { return picture + (((row % ring) * columns) << 2); }

/**
 * Copies what some rows show of windows of 32 × 32 pixels.
 * @param places top and left of every window (i32); @param out f32, one window after another
 */
export function windowRows(picture: usize, ring: i32, columns: i32, fromRow: i32, toRow: i32, places: usize, count: i32, out: usize): void {
  for (let i = 0; i < count; i++, places += 8, out += 4096) {
    const top = load<i32>(places);
    for (let row = max(fromRow, top), end = min(toRow, top + 32); row < end; row++) memory.copy(out + ((row - top) << 7), rowAt(picture, ring, columns, row) + (<usize>load<i32>(places, 4) << 2), 128);
  }
}
