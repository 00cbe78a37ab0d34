// AssemblyScript, compiled to SIMD WebAssembly by scripts/build.mjs: what src/registration/light-map.ts and src/sharpness/lasting-specks.ts look at in every cell of a frame;
// tests/unit/fast-look-at-folder.test.ts holds them together. Cells are short floats in u16 (src/image/short-floats.ts).

const BASE: i32 = (127 - 50) << 10, NOT_A_NUMBER: i32 = 65535;

@inline function valueOf(code: i32): f64 { return code === 0 ? 0 : code === NOT_A_NUMBER ? NaN : <f64>reinterpret<f32>((code + BASE) << 13); }

/** Means of rows × columns cells over down × across blocks (f64), 0 for one without cells. */
export function blockMeans(codes: usize, rows: i32, columns: i32, down: i32, across: i32, out: usize): void {
  for (let r = 0; r < down; r++) for (let c = 0; c < across; c++, out += 8) {
    const top = r * rows / down, bottom = (r + 1) * rows / down, left = c * columns / across, right = (c + 1) * columns / across;
    let sum: f64 = 0;
    for (let y = top; y < bottom; y++) for (let x = left; x < right; x++) sum += valueOf(load<u16>(codes + ((y * columns + x) << 1)));
    store<f64>(out, bottom > top && right > left ? sum / <f64>((bottom - top) * (right - left)) : 0);
  }
}

/** The least and the largest that each cell was so far; what is no number is neither. There are eight cells to spare behind each. */
export function leastAndLargest(codes: usize, count: i32, least: usize, largest: usize): void {
  const none = i16x8.splat(-1);
  for (let i: usize = 0, end = <usize>count << 1; i < end; i += 16) {
    const code = v128.load(codes + i);
    v128.store(least + i, i16x8.min_u(v128.load(least + i), code));
    v128.store(largest + i, i16x8.max_u(v128.load(largest + i), v128.andnot(code, i16x8.eq(code, none))));
  }
}
