// AssemblyScript, compiled to SIMD WebAssembly by scripts/build.mjs: what src/ladder/follow-tiles.ts does plainly; tests/unit/fast-ladder.test.ts
// holds the two together.
import { plus } from './fused';

/** Values of 16 bits (src/image/short-floats.ts) into rows of `stride` f32, 0 behind the last column. */
export function unpackCells(codes: usize, rows: i32, columns: i32, stride: i32, out: usize): void {
  const base = i32x4.splat((127 - 50) << 10), none = i32x4.splat(65535), notANumber = i32x4.splat(0x7fc00000);
  for (let r = 0; r < rows; r++) {
    const from = codes + ((r * columns) << 1), to = out + ((r * stride) << 2);
    for (let c = 0; c < columns; c += 4) {
      const code = v128.load16x4_u(from + (c << 1)), value = v128.and(i32x4.shl(i32x4.add(code, base), 13), i32x4.ne(code, i32x4.splat(0)));
      v128.store(to + (c << 2), v128.bitselect(notANumber, value, i32x4.eq(code, none)));
    }
    memory.fill(to + (columns << 2), 0, (stride - columns) << 2);
  }
}

/** Shares of 8 bits, 255 for all, in the same rows. */
export function unpackShares(codes: usize, rows: i32, columns: i32, stride: i32, out: usize): void {
  for (let r = 0; r < rows; r++) {
    const to = out + ((r * stride) << 2);
    for (let c = 0; c < columns; c++) store<f32>(to + (c << 2), <f32>load<u8>(codes + r * columns + c) / 255);
    memory.fill(to + (columns << 2), 0, (stride - columns) << 2);
  }
}

/** Where a frame shows the tiles of a grid: f64 row and column in cells; clears `inside` where a tile's centre leaves the picture by its margin. */
export function placeTiles(gridRows: i32, gridColumns: i32, tilePx: f64, cellPx: f64, rows: i32, columns: i32, marginPx: f64, cosine: f64, sine: f64, downPx: f64, acrossPx: f64,
  placeRow: usize, placeColumn: usize, inside: usize): void {
  const centreRow = <f64>(rows - 1) / 2, centreColumn = <f64>(columns - 1) / 2;
  for (let r = 0, t = 0; r < gridRows; r++) for (let c = 0; c < gridColumns; c++, t++) {
    const fromRow = (<f64>r + 0.5) * tilePx - 0.5 - centreRow, fromColumn = (<f64>c + 0.5) * tilePx - 0.5 - centreColumn;
    const row = cosine * fromRow - sine * fromColumn + downPx + centreRow, column = sine * fromRow + cosine * fromColumn + acrossPx + centreColumn;
    if (!(row > marginPx && row < <f64>rows - marginPx - 1 && column > marginPx && column < <f64>columns - marginPx - 1)) store<u8>(inside + t, 0);
    store<f64>(placeRow + (t << 3), (row + 0.5) / cellPx);
    store<f64>(placeColumn + (t << 3), (column + 0.5) / cellPx);
  }
}

/** Mean over the box of `edge` cells (at most 7) around every place, each cell holding evenly; parts outside the picture are left out. Writes f32 a tile. */
export function boxMeans(cells: usize, rows: i32, columns: i32, stride: i32, tiles: i32, placeRow: usize, placeColumn: usize, edge: f64, out: usize): void {
  const half = edge / 2, starts = f32x4(0, 1, 2, 3), ends = f32x4(1, 2, 3, 4), four = f32x4.splat(4), none = f32x4.splat(0);
  for (let t = 0; t < tiles; t++) {
    const row = load<f64>(placeRow + (t << 3)), column = load<f64>(placeColumn + (t << 3));
    const top = min<f64>(max<f64>(row - half, 0), rows), bottom = min<f64>(max<f64>(row + half, 0), rows);
    const left = min<f64>(max<f64>(column - half, 0), columns), right = min<f64>(max<f64>(column + half, 0), columns);
    const size = (bottom - top) * (right - left);
    if (!(size > 0)) { store<f32>(out + (t << 2), 0); continue; }
    const c0 = min<i32>(<i32>left, columns - 1), low = f32x4.splat(<f32>(left - <f64>c0)), high = f32x4.splat(<f32>(right - <f64>c0));
    let near = none, far = none;
    for (let r = <i32>top; r < rows && <f64>r < bottom; r++) {
      const share = f32x4.splat(<f32>(min<f64>(bottom, <f64>r + 1) - max<f64>(top, <f64>r))), at = cells + ((r * stride + c0) << 2);
      near = plus(share, v128.load(at), near);
      far = plus(share, v128.load(at, 16), far);
    }
    const nearShare = f32x4.max(none, f32x4.sub(f32x4.min(high, ends), f32x4.max(low, starts)));
    const farShare = f32x4.max(none, f32x4.sub(f32x4.min(high, f32x4.add(ends, four)), f32x4.max(low, f32x4.add(starts, four))));
    const all = plus(far, farShare, f32x4.mul(near, nearShare));
    store<f32>(out + (t << 2), <f32>((<f64>f32x4.extract_lane(all, 0) + <f64>f32x4.extract_lane(all, 1) + <f64>f32x4.extract_lane(all, 2) + <f64>f32x4.extract_lane(all, 3)) / size));
  }
}

/**
 * The same where the grid stands upright in the frame, as on a tripod: a row of tiles takes the same cells of every column, and a column of tiles of every row.
 * @param work room for a row of cells and three more, and for 36 bytes for every column of tiles
 */
export function uprightMeans(cells: usize, rows: i32, columns: i32, stride: i32, gridRows: i32, gridColumns: i32, placeRow: usize, placeColumn: usize, edge: f64, work: usize, out: usize): void {
  const half = edge / 2, line = work, shares = work + (((stride + 3) & ~3) << 2), starts = shares + (gridColumns << 5), none = f32x4.splat(0);
  for (let c = 0; c < gridColumns; c++) {
    const column = load<f64>(placeColumn + (c << 3)), left = min<f64>(max<f64>(column - half, 0), columns), right = min<f64>(max<f64>(column + half, 0), columns), c0 = min<i32>(<i32>left, columns - 1);
    for (let i = 0; i < 8; i++) {
      const part = right > left ? max<f64>(0, min<f64>(right, <f64>(c0 + i + 1)) - max<f64>(left, <f64>(c0 + i))) / (right - left) : 0;
      store<f32>(shares + (c << 5) + (i << 2), <f32>part);
    }
    store<u32>(starts + (c << 2), <u32>(line + (c0 << 2)));
  }
  for (let r = 0, to = out; r < gridRows; r++) {
    const row = load<f64>(placeRow + ((r * gridColumns) << 3)), top = min<f64>(max<f64>(row - half, 0), rows), bottom = min<f64>(max<f64>(row + half, 0), rows);
    const first = <i32>top, size = bottom - top;
    if (!(size > 0)) { memory.fill(to, 0, gridColumns << 2); to += gridColumns << 2; continue; }
    for (let y = first; y < rows && <f64>y < bottom; y++) {
      const share = f32x4.splat(<f32>((min<f64>(bottom, <f64>y + 1) - max<f64>(top, <f64>y)) / size)), from = cells + ((y * stride) << 2);
      if (y === first) for (let x = 0, end = stride << 2; x < end; x += 16) v128.store(line + x, f32x4.mul(share, v128.load(from + x)));
      else for (let x = 0, end = stride << 2; x < end; x += 16) v128.store(line + x, plus(share, v128.load(from + x), v128.load(line + x)));
    }
    for (let c = 0; c < gridColumns; c++, to += 4) {
      const at = <usize>load<u32>(starts + (c << 2)), share = shares + (c << 5);
      const all = plus(v128.load(at, 16), v128.load(share, 16), f32x4.mul(v128.load(at), v128.load(share)));
      store<f32>(to, (f32x4.extract_lane(all, 0) + f32x4.extract_lane(all, 1)) + (f32x4.extract_lane(all, 2) + f32x4.extract_lane(all, 3)));
    }
  }
}

/** Natural logarithms of values (f32), in place; below `least` that of it. */
export function takeLogs(values: usize, count: i32, least: f64): void {
  for (let end = values + (count << 2); values < end; values += 4) store<f32>(values, <f32>Math.log(max<f64>(<f64>load<f32>(values), least)));
}

/** Takes the marks (u8) of those values (f32) that are above `most`. */
export function unmarkAbove(values: usize, count: i32, most: f64, marks: usize): void {
  for (let i = 0; i < count; i++) if (<f64>load<f32>(values + (i << 2)) > most) store<u8>(marks + i, 0);
}
