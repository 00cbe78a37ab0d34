// AssemblyScript, compiled to SIMD WebAssembly: spectra of the windows that frames are registered on, and displacements from their phases. The same
// arithmetic as src/registration/window-spectrum.ts and phase-shift.ts, in single precision and turns instead of radians;
// tests/unit/fast-registration.test.ts holds the two together.
import { PLANE, transform32 } from './fft32';

export function heapStart(): usize { return __heap_base; }

/**
 * Tables: cosines and sines of the Hann window's places (32 each), factors of the transform (64), row and column frequencies that are compared,
 * in cycles per pixel, all f32; then where each stands in a spectrum and where its opposite does, in bytes (u32, in turn).
 */
const SINES: usize = 128, FACTORS: usize = 256, FREQUENCIES: usize = 512;
let tables: usize = 0, compared: i32 = 0, used: i32 = 0;

/** @param count frequencies that are compared; there is room in the tables, and in every spectrum, for the next multiple of four, filled up with zeros */
export function start(at: usize, count: i32): void { tables = at; compared = count; used = (count + 3) & ~3; }

/** What a window is described by: top, left (i32), how much further its weights lie, rows and columns (f32). */
const WINDOW: usize = 16;

/**
 * Spectra of windows of a picture (f32): real parts at the frequencies that are compared, then imaginary parts.
 *
 * @param room for four planes and 1.5 KB
 * @param out one spectrum after another
 */
export function windowSpectra(picture: usize, columns: i32, windows: usize, count: i32, room: usize, out: usize): void {
  const re = room, im = re + PLANE, toRe = im + PLANE, toIm = toRe + PLANE, work = toIm + PLANE, size = <usize>used << 3;
  const places = tables + FREQUENCIES + size, share: f32 = 0.5;
  // Two windows at a time, as real and imaginary part: which is whose follows from a frequency and its opposite.
  for (let i = 0; i < count; i += 2) {
    weigh(picture, columns, windows + <usize>i * WINDOW, work, re);
    if (i + 1 < count) weigh(picture, columns, windows + <usize>(i + 1) * WINDOW, work, im); else memory.fill(im, 0, PLANE);
    transform32(re, im, toRe, toIm, tables + FACTORS, work);
    const first = out + <usize>i * size, second = first + size, half = <usize>used << 2;
    for (let k = 0; k < compared; k++) {
      const p = <usize>load<u32>(places + (k << 3)), q = <usize>load<u32>(places + (k << 3), 4), at = <usize>k << 2;
      const pRe = load<f32>(toRe + p), pIm = load<f32>(toIm + p), qRe = load<f32>(toRe + q), qIm = load<f32>(toIm + q);
      store<f32>(first + at, share * (pRe + qRe)); store<f32>(first + half + at, share * (pIm - qIm));
      if (i + 1 < count) { store<f32>(second + at, share * (pIm + qIm)); store<f32>(second + half + at, share * (qRe - pRe)); }
    }
    for (let k = compared; k < used; k++) {
      const at = <usize>k << 2;
      store<f32>(first + at, 0); store<f32>(first + half + at, 0);
      if (i + 1 < count) { store<f32>(second + at, 0); store<f32>(second + half + at, 0); }
    }
  }
}

/** A window's pixels less their weighted mean, weighted. */
function weigh(picture: usize, columns: i32, window: usize, weights: usize, to: usize): void {
  const stride = <usize>columns << 2, from = picture + <usize>load<i32>(window) * stride + (<usize>load<i32>(window, 4) << 2);
  hann(load<f32>(window, 8), weights); hann(load<f32>(window, 12), weights + 128);
  let total = f32x4.splat(0);
  for (let r: usize = 0; r < 32; r++) {
    const at = from + r * stride;
    let line = f32x4.splat(0);
    for (let c: usize = 0; c < 128; c += 16) line = f32x4.add(line, f32x4.mul(v128.load(at + c), v128.load(weights + 128 + c)));
    total = f32x4.add(total, f32x4.mul(line, v128.load32_splat(weights + (r << 2))));
  }
  // The weights of an axis add up to 16 wherever they lie.
  const mean = f32x4.splat((f32x4.extract_lane(total, 0) + f32x4.extract_lane(total, 1) + f32x4.extract_lane(total, 2) + f32x4.extract_lane(total, 3)) / 256);
  for (let r: usize = 0; r < 32; r++) {
    const at = from + r * stride, weight = v128.load32_splat(weights + (r << 2)), row = to + (r << 7);
    for (let c: usize = 0; c < 128; c += 16) v128.store(row + c, f32x4.mul(f32x4.sub(v128.load(at + c), mean), f32x4.mul(weight, v128.load(weights + 128 + c))));
  }
}

/** Hann weights that lie `offset` pixels further, −0.5 … 0.5. */
function hann(offset: f32, to: usize): void {
  const turn: f32 = 0.19634954 * offset, square = turn * turn;
  const cosine = f32x4.splat(0.5 * (1 - square * (0.5 - square * (1.0 / 24.0)))), sine = f32x4.splat(0.5 * turn * (1 - square * ((1.0 / 6.0) - square * (1.0 / 120.0)))), half = f32x4.splat(0.5);
  for (let i: usize = 0; i < 128; i += 16) {
    v128.store(to + i, f32x4.sub(half, f32x4.add(f32x4.mul(cosine, v128.load(tables + i)), f32x4.mul(sine, v128.load(tables + SINES + i)))));
  }
}

/** What a displacement is asked by: addresses of the two spectra (u32), displacement expected, rows and columns (f32). */
const QUESTION: usize = 16;
const TURN: f32 = 6.2831853;

/**
 * Displacements beyond the expected ones, and how well the phases agree with them: three f32 each, one after another.
 *
 * @param room for two numbers (f32) of each frequency that is compared
 */
export function phaseShifts(questions: usize, count: i32, room: usize, out: usize): void {
  const bytes = <usize>used << 2, weights = room, phases = room + bytes, rows = tables + FREQUENCIES, columns = rows + bytes;
  for (let i = 0; i < count; i++) {
    const question = questions + <usize>i * QUESTION, a = <usize>load<u32>(question), b = <usize>load<u32>(question, 4);
    const down = v128.load32_splat(question, 8), across = v128.load32_splat(question, 12);
    let total = f32x4.splat(0);
    for (let k: usize = 0; k < bytes; k += 16) {
      const ar = v128.load(a + k), ai = v128.load(a + bytes + k), br = v128.load(b + k), bi = v128.load(b + bytes + k);
      const re = f32x4.add(f32x4.mul(ar, br), f32x4.mul(ai, bi)), im = f32x4.sub(f32x4.mul(ar, bi), f32x4.mul(ai, br));
      const weight = f32x4.sqrt(f32x4.add(f32x4.mul(re, re), f32x4.mul(im, im)));
      total = f32x4.add(total, weight);
      v128.store(weights + k, weight);
      v128.store(phases + k, f32x4.add(turnsOf(re, im), f32x4.add(f32x4.mul(down, v128.load(rows + k)), f32x4.mul(across, v128.load(columns + k)))));
    }
    let row: f32 = 0, column: f32 = 0;
    for (let pass = 0; pass < 3; pass++) {
      let rr = f32x4.splat(0), cc = rr, rc = rr, br = rr, bc = rr;
      const r = f32x4.splat(row), c = f32x4.splat(column), one = f32x4.splat(1), square = f32x4.splat(TURN * TURN);
      for (let k: usize = 0; k < bytes; k += 16) {
        const fr = v128.load(rows + k), fc = v128.load(columns + k), q = left(v128.load(phases + k), fr, fc, r, c);
        const w = f32x4.div(v128.load(weights + k), f32x4.add(one, f32x4.mul(square, f32x4.mul(q, q)))), wr = f32x4.mul(w, fr), wc = f32x4.mul(w, fc);
        rr = f32x4.add(rr, f32x4.mul(wr, fr)); cc = f32x4.add(cc, f32x4.mul(wc, fc)); rc = f32x4.add(rc, f32x4.mul(wr, fc));
        br = f32x4.sub(br, f32x4.mul(wr, q)); bc = f32x4.sub(bc, f32x4.mul(wc, q));
      }
      const sumRR = sumOf(rr), sumCC = sumOf(cc), sumRC = sumOf(rc), sumBR = sumOf(br), sumBC = sumOf(bc), determinant = sumRR * sumCC - sumRC * sumRC;
      if (!(determinant > 0)) break;
      row += <f32>((sumCC * sumBR - sumRC * sumBC) / determinant);
      column += <f32>((sumRR * sumBC - sumRC * sumBR) / determinant);
    }
    let along = f32x4.splat(0), beside = along;
    const r = f32x4.splat(row), c = f32x4.splat(column);
    for (let k: usize = 0; k < bytes; k += 16) {
      const q = left(v128.load(phases + k), v128.load(rows + k), v128.load(columns + k), r, c), square = f32x4.mul(q, q), w = v128.load(weights + k);
      const sine = f32x4.mul(q, sineOf(square)), cosine = cosineOf(square), two = f32x4.splat(2);
      along = f32x4.add(along, f32x4.mul(w, f32x4.sub(f32x4.splat(1), f32x4.mul(two, f32x4.mul(sine, sine)))));
      beside = f32x4.add(beside, f32x4.mul(w, f32x4.mul(two, f32x4.mul(sine, cosine))));
    }
    const all = sumOf(total), x = sumOf(along), y = sumOf(beside), to = out + <usize>i * 12;
    store<f32>(to, row); store<f32>(to, column, 4); store<f32>(to, all > 0 ? <f32>(Math.sqrt(x * x + y * y) / all) : 0, 8);
  }
}

/** What is left of phases once a displacement is taken out: −0.5 … 0.5 turns. */
@inline function left(phase: v128, fr: v128, fc: v128, row: v128, column: v128): v128 {
  const q = f32x4.add(phase, f32x4.add(f32x4.mul(fr, row), f32x4.mul(fc, column)));
  return f32x4.sub(q, f32x4.nearest(q));
}

@inline function sumOf(v: v128): f64 { return <f64>f32x4.extract_lane(v, 0) + <f64>f32x4.extract_lane(v, 1) + <f64>f32x4.extract_lane(v, 2) + <f64>f32x4.extract_lane(v, 3); }

/** Angle of complex numbers in turns, by a polynomial for arctan t / 2πt, t from 0 to 1, with errors below 4e-8; 0 for 0. */
@inline function turnsOf(re: v128, im: v128): v128 {
  const x = f32x4.abs(re), y = f32x4.abs(im), steep = f32x4.gt(y, x), most = f32x4.max(x, y);
  const t = f32x4.div(f32x4.min(x, y), f32x4.max(most, f32x4.splat(1e-30))), s = f32x4.mul(t, t);
  let p = f32x4.add(f32x4.mul(f32x4.splat(0.00108463657), s), f32x4.splat(-0.00534999449));
  p = f32x4.add(f32x4.mul(p, s), f32x4.splat(0.0126747685));
  p = f32x4.add(f32x4.mul(p, s), f32x4.splat(-0.0210629823));
  p = f32x4.add(f32x4.mul(p, s), f32x4.splat(0.0315255913));
  p = f32x4.add(f32x4.mul(p, s), f32x4.splat(-0.0530263076));
  p = f32x4.mul(f32x4.add(f32x4.mul(p, s), f32x4.splat(0.159154328)), t);
  p = v128.bitselect(f32x4.sub(f32x4.splat(0.25), p), p, steep);
  p = v128.bitselect(f32x4.sub(f32x4.splat(0.5), p), p, f32x4.lt(re, f32x4.splat(0)));
  // With the sign of the imaginary part.
  return v128.or(p, v128.and(im, i32x4.splat(0x80000000)));
}

/** sin πq / q from q², q up to 0.5, with an error below 2e-8. */
@inline function sineOf(s: v128): v128 {
  let p = f32x4.add(f32x4.mul(f32x4.splat(0.0776594074), s), f32x4.splat(-0.598292159));
  p = f32x4.add(f32x4.mul(p, s), f32x4.splat(2.55007766));
  p = f32x4.add(f32x4.mul(p, s), f32x4.splat(-5.16771009));
  return f32x4.add(f32x4.mul(p, s), f32x4.splat(3.14159264));
}

/** cos πq from q², q up to 0.5, with an error below 5e-8. */
@inline function cosineOf(s: v128): v128 {
  let p = f32x4.add(f32x4.mul(f32x4.splat(0.219696795), s), f32x4.splat(-1.33188016));
  p = f32x4.add(f32x4.mul(p, s), f32x4.splat(4.05841191));
  p = f32x4.add(f32x4.mul(p, s), f32x4.splat(-4.93479286));
  return f32x4.add(f32x4.mul(p, s), f32x4.splat(0.999999953));
}
