// AssemblyScript, compiled to SIMD WebAssembly by scripts/build.mjs. The same arithmetic as src/image and src/sharpness, four pixels
// at a time; tests/unit/simd-measure.test.ts holds the two together. Pictures are f32, row by row, at addresses the caller hands out.

export function heapStart(): usize { return __heap_base; }

/** Root of linear luminance, binned; clipped marks and the sum of roots. `tables`: three f32 tables of 256, already weighted by 1/bin². */
export function rootLuminance(pixels: usize, columns: i32, channels: i32, bin: i32, tables: usize, clipCode: i32, outRows: i32, outColumns: i32, out: usize, clipped: usize): f64 {
  let total: f64 = 0;
  const colour = channels >= 3;
  for (let row = 0; row < outRows; row++) {
    const to = out + ((row * outColumns) << 2), mark = clipped + row * outColumns;
    for (let column = 0; column < outColumns; column++) {
      let sum: f32 = 0;
      let clip = 0;
      for (let i = 0; i < bin; i++) {
        let from = pixels + (((row * bin + i) * columns + column * bin) * channels);
        for (let j = 0; j < bin; j++, from += channels) {
          const r = <i32>load<u8>(from);
          sum += load<f32>(tables + (r << 2));
          let most = r;
          if (colour) {
            const g = <i32>load<u8>(from, 1), b = <i32>load<u8>(from, 2);
            sum += load<f32>(tables + (g << 2), 1024) + load<f32>(tables + (b << 2), 2048);
            most = max(most, max(g, b));
          }
          if (most >= clipCode) clip = 1;
        }
      }
      const root = sqrt<f32>(sum);
      store<f32>(to + (column << 2), root);
      store<u8>(mark + column, clip);
      total += root;
    }
  }
  return total;
}

/** Takes a constant off `count` values (a multiple of four is handled at a time; the spare room behind a picture is touched). */
export function subtract(picture: usize, count: i32, value: f32): void {
  const all = f32x4.splat(value);
  for (let i = 0; i < count; i += 4) { const at = picture + (i << 2); v128.store(at, f32x4.sub(v128.load(at), all)); }
}

function mirror(i: i32, n: i32): i32 {
  const period = 2 * n;
  const j = ((i % period) + period) % period;
  return j < n ? j : period - 1 - j;
}

/** Both axes with one symmetric kernel (`half`: f32, from the centre outwards); `across`: room for one picture, `line`: for one padded row. */
export function convolve(picture: usize, rows: i32, columns: i32, half: usize, reach: i32, across: usize, line: usize, out: usize): void {
  const whole = columns & ~3;
  for (let row = 0; row < rows; row++) {
    const from = picture + ((row * columns) << 2), to = across + ((row * columns) << 2), start = line + (reach << 2);
    memory.copy(start, from, columns << 2);
    for (let i = 1; i <= reach; i++) {
      store<f32>(start - (i << 2), load<f32>(from + (mirror(-i, columns) << 2)));
      store<f32>(start + ((columns - 1 + i) << 2), load<f32>(from + (mirror(columns - 1 + i, columns) << 2)));
    }
    const centre = load<f32>(half);
    for (let x = 0; x < whole; x += 4) {
      const at = start + (x << 2);
      let sum = f32x4.mul(f32x4.splat(centre), v128.load(at));
      for (let i = 1; i <= reach; i++) sum = f32x4.add(sum, f32x4.mul(v128.load32_splat(half + (i << 2)), f32x4.add(v128.load(at - (i << 2)), v128.load(at + (i << 2)))));
      v128.store(to + (x << 2), sum);
    }
    for (let x = whole; x < columns; x++) {
      const at = start + (x << 2);
      let sum = centre * load<f32>(at);
      for (let i = 1; i <= reach; i++) sum += load<f32>(half + (i << 2)) * (load<f32>(at - (i << 2)) + load<f32>(at + (i << 2)));
      store<f32>(to + (x << 2), sum);
    }
  }
  for (let row = 0; row < rows; row++) {
    const from = across + ((row * columns) << 2), to = out + ((row * columns) << 2);
    for (let x = 0; x < whole; x += 4) {
      let sum = f32x4.mul(v128.load32_splat(half), v128.load(from + (x << 2)));
      for (let i = 1; i <= reach; i++) {
        const up = row - i >= 0 ? row - i : mirror(row - i, rows), down = row + i < rows ? row + i : mirror(row + i, rows);
        sum = f32x4.add(sum, f32x4.mul(v128.load32_splat(half + (i << 2)), f32x4.add(v128.load(across + ((up * columns + x) << 2)), v128.load(across + ((down * columns + x) << 2)))));
      }
      v128.store(to + (x << 2), sum);
    }
    for (let x = whole; x < columns; x++) {
      let sum = load<f32>(half) * load<f32>(from + (x << 2));
      for (let i = 1; i <= reach; i++) sum += load<f32>(half + (i << 2)) * (load<f32>(across + ((mirror(row - i, rows) * columns + x) << 2)) + load<f32>(across + ((mirror(row + i, rows) * columns + x) << 2)));
      store<f32>(to + (x << 2), sum);
    }
  }
}

/** The 3×3 Laplacian [1 4 1; 4 −20 4; 1 4 1]/6, mirrored at the edges. */
export function laplacian(picture: usize, rows: i32, columns: i32, out: usize): void {
  const sixth = f32x4.splat(1.0 / 6.0), four = f32x4.splat(4), twenty = f32x4.splat(20), last = columns - 1;
  for (let row = 0; row < rows; row++) {
    const mid = picture + ((row * columns) << 2), up = row > 0 ? mid - (columns << 2) : mid, down = row < rows - 1 ? mid + (columns << 2) : mid, to = out + ((row * columns) << 2);
    let x = 1;
    for (; x + 4 <= last; x += 4) {
      const o = x << 2;
      const edge = f32x4.add(f32x4.add(v128.load(up + o), v128.load(down + o)), f32x4.add(v128.load(mid + o - 4), v128.load(mid + o + 4)));
      const corner = f32x4.add(f32x4.add(v128.load(up + o - 4), v128.load(up + o + 4)), f32x4.add(v128.load(down + o - 4), v128.load(down + o + 4)));
      v128.store(to + o, f32x4.mul(f32x4.sub(f32x4.add(f32x4.mul(four, edge), corner), f32x4.mul(twenty, v128.load(mid + o))), sixth));
    }
    for (let i = 0; i < columns; i++) {
      if (i > 0 && i < x) continue;
      const l = max(0, i - 1) << 2, r = min(last, i + 1) << 2, o = i << 2;
      const edge = load<f32>(up + o) + load<f32>(down + o) + load<f32>(mid + l) + load<f32>(mid + r);
      const corner = load<f32>(up + l) + load<f32>(up + r) + load<f32>(down + l) + load<f32>(down + r);
      store<f32>(to + o, (4 * edge + corner - 20 * load<f32>(mid + o)) * (1.0 / 6.0));
    }
  }
}

/** Halves a picture after [1 3 3 1]/8 on each axis; `line`: room for one row. */
export function halve(picture: usize, rows: i32, columns: i32, line: usize, out: usize): void {
  const outRows = rows >> 1, outColumns = columns >> 1, three = f32x4.splat(3);
  for (let row = 0; row < outRows; row++) {
    const b = picture + ((2 * row * columns) << 2), c = b + (columns << 2);
    const a = row > 0 ? b - (columns << 2) : b, d = 2 * row + 2 < rows ? c + (columns << 2) : c;
    let x = 0;
    for (; x + 4 <= columns; x += 4) {
      const o = x << 2;
      v128.store(line + o, f32x4.add(f32x4.add(v128.load(a + o), v128.load(d + o)), f32x4.mul(three, f32x4.add(v128.load(b + o), v128.load(c + o)))));
    }
    for (; x < columns; x++) { const o = x << 2; store<f32>(line + o, load<f32>(a + o) + load<f32>(d + o) + 3 * (load<f32>(b + o) + load<f32>(c + o))); }
    const to = out + ((row * outColumns) << 2);
    for (let i = 0; i < outColumns; i++) {
      const at = line + (i << 3);
      const left = i > 0 ? load<f32>(at - 4) : load<f32>(at), right = 2 * i + 2 < columns ? load<f32>(at, 8) : load<f32>(at, 4);
      store<f32>(to + (i << 2), (left + right + 3 * (load<f32>(at) + load<f32>(at, 4))) * (1.0 / 64.0));
    }
  }
}

/** Adds a picture's values, or their squares, into f64 sums of square cells. */
export function cellSums(picture: usize, rows: i32, columns: i32, cell: i32, cellRows: i32, cellColumns: i32, squared: bool, sums: usize): void {
  for (let row = 0; row < rows; row++) {
    const from = picture + ((row * columns) << 2), to = sums + ((min(cellRows - 1, row / cell) * cellColumns) << 3);
    let column = 0;
    for (let i = 0; i < cellColumns; i++) {
      const stop = i === cellColumns - 1 ? columns : min(columns, (i + 1) * cell);
      let sum: f32 = 0;
      let part = f32x4.splat(0);
      for (; column + 4 <= stop; column += 4) { const v = v128.load(from + (column << 2)); part = f32x4.add(part, squared ? f32x4.mul(v, v) : v); }
      for (; column < stop; column++) { const v = load<f32>(from + (column << 2)); sum += squared ? v * v : v; }
      sum += f32x4.extract_lane(part, 0) + f32x4.extract_lane(part, 1) + f32x4.extract_lane(part, 2) + f32x4.extract_lane(part, 3);
      store<f64>(to + (i << 3), load<f64>(to + (i << 3)) + <f64>sum);
    }
  }
}

/** The same for marks of one byte. */
export function cellMarks(marks: usize, rows: i32, columns: i32, cell: i32, cellRows: i32, cellColumns: i32, sums: usize): void {
  for (let row = 0; row < rows; row++) {
    const from = marks + row * columns, to = sums + ((min(cellRows - 1, row / cell) * cellColumns) << 3);
    let column = 0;
    for (let i = 0; i < cellColumns; i++) {
      const stop = i === cellColumns - 1 ? columns : min(columns, (i + 1) * cell);
      let sum = 0;
      for (; column < stop; column++) sum += <i32>load<u8>(from + column);
      if (sum) store<f64>(to + (i << 3), load<f64>(to + (i << 3)) + <f64>sum);
    }
  }
}
