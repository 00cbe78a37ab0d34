// What is gathered in cells, put in the form it is handed over in: as src/sharpness/compact-measure.ts.

/** As in src/image/short-floats.ts. */
const BASE: i32 = (127 - 50) << 10, NOT_A_NUMBER: i32 = 65535;

/** Pixels of a cell along an axis of `length` pixels: the last cell takes what is left. */
@inline function extent(index: i32, count: i32, length: i32, cell: i32): i32 {
  const from = min(length, index * cell);
  return (index === count - 1 ? length : min(length, from + cell)) - from;
}

/** Sum of f64 cells. */
export function cellTotal(sums: usize, count: i32): f64 {
  let total: f64 = 0;
  for (let i = 0; i < count; i++) total += load<f64>(sums + (i << 3));
  return total;
}

/** Means of cells from their f64 sums over a picture of rows × columns, times `factor`, as short floats in u16. */
export function cellCodes(sums: usize, cellRows: i32, cellColumns: i32, rows: i32, columns: i32, cell: i32, factor: f64, out: usize): void {
  for (let r = 0; r < cellRows; r++) {
    const down = extent(r, cellRows, rows, cell), whole = factor / <f64>(down * cell);
    for (let c = 0; c < cellColumns; c++, sums += 8, out += 2) {
      const across = extent(c, cellColumns, columns, cell), value: f32 = down * across > 0 ? <f32>(load<f64>(sums) * (across === cell ? whole : factor / <f64>(down * across))) : 0;
      const code = ((reinterpret<i32>(value) + 0x1000) >> 13) - BASE;
      store<u16>(out, value !== value ? NOT_A_NUMBER : code < 0 ? 0 : code >= NOT_A_NUMBER ? NOT_A_NUMBER - 1 : code);
    }
  }
}

/** Shares of clipped pixels 0…1 as 0…255, nothing that was clipped as 0. @returns whether any was */
export function cellShares(sums: usize, cellRows: i32, cellColumns: i32, rows: i32, columns: i32, cell: i32, out: usize): bool {
  let some = false;
  for (let r = 0; r < cellRows; r++) {
    const down = extent(r, cellRows, rows, cell);
    for (let c = 0; c < cellColumns; c++, sums += 8, out++) {
      const pixels = down * extent(c, cellColumns, columns, cell), clipped = load<f64>(sums);
      if (pixels > 0 && clipped > 0) { some = true; store<u8>(out, <u8>ceil(255 * <f64><f32>(clipped / <f64>pixels))); }
      else store<u8>(out, 0);
    }
  }
  return some;
}

/** Some f32 values as i16, the greatest becoming ±32767; up to 12 bytes behind them are read. */
export function integerPixels(values: usize, count: i32, out: usize): void {
  let most: f32 = 0, greatest = f32x4.splat(0), i = 0;
  for (; i + 4 <= count; i += 4) greatest = f32x4.max(greatest, f32x4.abs(v128.load(values + (i << 2))));
  for (; i < count; i++) most = max(most, abs(load<f32>(values + (i << 2))));
  most = max(max(most, max(f32x4.extract_lane(greatest, 0), f32x4.extract_lane(greatest, 1))), max(f32x4.extract_lane(greatest, 2), f32x4.extract_lane(greatest, 3)));
  const scale: f64 = most > 0 ? 32767 / <f64>most : 0;
  for (i = 0; i < count; i++) store<i16>(out + (i << 1), <i16>floor(<f64>load<f32>(values + (i << 2)) * scale + 0.5));
}
