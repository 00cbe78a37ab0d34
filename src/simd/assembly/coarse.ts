// AssemblyScript, compiled to SIMD WebAssembly: the plane transform and the whitened correlation of src/registration/coarse-shift.ts, in single precision;
// tests/unit/fast-coarse.test.ts holds the two together. Spectra are left in the order that the last butterflies leave them in, each axis with
// the bits of its index reversed: correlating needs to know where a frequency stands and where its opposite does, and no more.
import { less, plus } from './fused';

export function heapStart(): usize { return __heap_base; }

/** Bytes of a row and of a plane's column in the room: sixteen columns, or four rows turned, at a time. */
const WIDE: usize = 64, NARROW: usize = 16;

/**
 * Fourier transform of both axes in place, without a factor.
 *
 * @param re, im planes of rows × columns numbers (f32), each a power of two, 16 or more
 * @param factors e^(−2πi·k/n) for k = 0 … n/2 − 1, real and imaginary parts in turn (f32), n being the larger of the two
 * @param room 128 bytes for each row or 32 for each column, whichever is more
 * @param inverse from reversed order back to the natural one
 */
export function transform(re: usize, im: usize, rows: i32, columns: i32, factors: usize, room: usize, inverse: bool): void {
  const n = max(rows, columns), stride = <usize>columns << 2;
  const roomIm = room + <usize>max(rows << 6, columns << 4);
  for (let row: usize = 0; row < <usize>rows; row += 4) {
    const at = re + row * stride, atIm = im + row * stride;
    for (let c: usize = 0; c < stride; c += 16) {
      turn4(at + c, stride, room + (c << 2), NARROW);
      turn4(atIm + c, stride, roomIm + (c << 2), NARROW);
    }
    butterflies(room, roomIm, columns, NARROW, factors, n, inverse);
    for (let c: usize = 0; c < stride; c += 16) {
      turn4(room + (c << 2), NARROW, at + c, stride);
      turn4(roomIm + (c << 2), NARROW, atIm + c, stride);
    }
  }
  for (let c: usize = 0; c < stride; c += WIDE) {
    for (let r: usize = 0; r < <usize>rows; r++) { memory.copy(room + r * WIDE, re + r * stride + c, WIDE); memory.copy(roomIm + r * WIDE, im + r * stride + c, WIDE); }
    butterflies(room, roomIm, rows, WIDE, factors, n, inverse);
    for (let r: usize = 0; r < <usize>rows; r++) { memory.copy(re + r * stride + c, room + r * WIDE, WIDE); memory.copy(im + r * stride + c, roomIm + r * WIDE, WIDE); }
  }
}

@inline function turn4(from: usize, step: usize, to: usize, toStep: usize): void {
  const w = v128.load(from), x = v128.load(from + step), y = v128.load(from + 2 * step), z = v128.load(from + 3 * step);
  const wx = v128.shuffle<f32>(w, x, 0, 4, 1, 5), yz = v128.shuffle<f32>(y, z, 0, 4, 1, 5), wxHigh = v128.shuffle<f32>(w, x, 2, 6, 3, 7), yzHigh = v128.shuffle<f32>(y, z, 2, 6, 3, 7);
  v128.store(to, v128.shuffle<f32>(wx, yz, 0, 1, 4, 5)); v128.store(to + toStep, v128.shuffle<f32>(wx, yz, 2, 3, 6, 7));
  v128.store(to + 2 * toStep, v128.shuffle<f32>(wxHigh, yzHigh, 0, 1, 4, 5)); v128.store(to + 3 * toStep, v128.shuffle<f32>(wxHigh, yzHigh, 2, 3, 6, 7));
}

/** Transforms `length` rows of `width` bytes, each column for itself: by halves, from the widest to the narrowest, or back. */
function butterflies(re: usize, im: usize, length: i32, width: usize, factors: usize, n: i32, inverse: bool): void {
  for (let half = inverse ? 1 : length >> 1; inverse ? half < length : half > 0; half = inverse ? half << 1 : half >> 1) {
    const apart = <usize>half * width, step = <usize>(n / (2 * half)) << 3;
    for (let k = 0; k < half; k++) {
      const c = v128.load32_splat(factors + <usize>k * step), s = v128.load32_splat(factors + <usize>k * step, 4);
      for (let i = k; i < length; i += 2 * half) {
        for (let o = <usize>i * width, end = o + width; o < end; o += 16) {
          const p = re + o, q = im + o, ar = v128.load(p), ai = v128.load(q), br = v128.load(p + apart), bi = v128.load(q + apart);
          if (inverse) {
            const tr = plus(bi, s, f32x4.mul(br, c)), ti = less(br, s, f32x4.mul(bi, c));
            v128.store(p, f32x4.add(ar, tr)); v128.store(q, f32x4.add(ai, ti));
            v128.store(p + apart, f32x4.sub(ar, tr)); v128.store(q + apart, f32x4.sub(ai, ti));
          } else {
            const dr = f32x4.sub(ar, br), di = f32x4.sub(ai, bi);
            v128.store(p, f32x4.add(ar, br)); v128.store(q, f32x4.add(ai, bi));
            v128.store(p + apart, less(di, s, f32x4.mul(dr, c))); v128.store(q + apart, plus(di, c, f32x4.mul(dr, s)));
          }
        }
      }
    }
  }
}

/**
 * Turns a pair's spectrum P = A + iB into X + iY, the whitened cross spectra of A and B with the reference.
 *
 * @param oppositeRow, oppositeColumn where an index's opposite frequency stands (i32)
 * @param passRow, passColumn weights of an axis' frequencies, where they stand (f32): a frequency has their product
 */
export function correlate(re: usize, im: usize, refRe: usize, refIm: usize, passRow: usize, passColumn: usize, rows: i32, columns: i32, oppositeRow: usize, oppositeColumn: usize): void {
  for (let r = 0; r < rows; r++) {
    const r2 = load<i32>(oppositeRow + (r << 2)), down = load<f32>(passRow + (r << 2));
    if (r2 < r) continue;
    for (let c = 0; c < columns; c++) {
      const c2 = load<i32>(oppositeColumn + (c << 2));
      if (r2 === r && c2 < c) continue;
      const i = <usize>(r * columns + c) << 2, j = <usize>(r2 * columns + c2) << 2;
      const pRe = load<f32>(re + i), pIm = load<f32>(im + i), qRe = load<f32>(re + j), qIm = load<f32>(im + j), sRe = load<f32>(refRe + i), sIm = load<f32>(refIm + i), weight = down * load<f32>(passColumn + (c << 2));
      const aRe: f32 = 0.5 * (pRe + qRe), aIm: f32 = 0.5 * (pIm - qIm), bRe: f32 = 0.5 * (pIm + qIm), bIm: f32 = 0.5 * (qRe - pRe);
      let xRe = sRe * aRe + sIm * aIm, xIm = sRe * aIm - sIm * aRe, yRe = sRe * bRe + sIm * bIm, yIm = sRe * bIm - sIm * bRe;
      const x: f32 = weight / max(sqrt<f32>(xRe * xRe + xIm * xIm), 1e-12), y: f32 = weight / max(sqrt<f32>(yRe * yRe + yIm * yIm), 1e-12);
      xRe *= x; xIm *= x; yRe *= y; yIm *= y;
      store<f32>(re + i, xRe - yIm); store<f32>(im + i, xIm + yRe);
      store<f32>(re + j, xRe + yIm); store<f32>(im + j, yRe - xIm);
    }
  }
}

/**
 * A picture's pixels, weighted, in a plane that is wider and higher; zeros stand behind them.
 *
 * @param pixels i16, rows × columns; @param taperRow, taperColumn weights along the axes (f32)
 * @param plane f32, planeRows × planeColumns
 */
export function fill(pixels: usize, rows: i32, columns: i32, taperRow: usize, taperColumn: usize, plane: usize, planeRows: i32, planeColumns: i32): void {
  memory.fill(plane, 0, (planeRows * planeColumns) << 2);
  for (let r = 0; r < rows; r++, pixels += columns << 1, plane += planeColumns << 2) {
    const down = f32x4.splat(load<f32>(taperRow + (r << 2)));
    let c = 0;
    for (; c + 4 <= columns; c += 4) v128.store(plane + (c << 2), f32x4.mul(f32x4.mul(f32x4.convert_i32x4_s(v128.load16x4_s(pixels + (c << 1))), down), v128.load(taperColumn + (c << 2))));
    for (; c < columns; c++) store<f32>(plane + (c << 2), <f32>load<i16>(pixels + (c << 1)) * f32x4.extract_lane(down, 0) * load<f32>(taperColumn + (c << 2)));
  }
}

/** Index of the first of the largest of `count` numbers (f32), a multiple of four. */
export function highest(values: usize, count: i32): i32 {
  let most = v128.load(values), bytes = <usize>count << 2;
  for (let at: usize = 16; at < bytes; at += 16) most = f32x4.pmax(most, v128.load(values + at));
  const largest = max(max(f32x4.extract_lane(most, 0), f32x4.extract_lane(most, 1)), max(f32x4.extract_lane(most, 2), f32x4.extract_lane(most, 3)));
  for (let i = 0; i < count; i++) if (load<f32>(values + (i << 2)) === largest) return i;
  return 0;
}
