// AssemblyScript: the Fourier transform of 32 × 32 complex numbers, real and imaginary parts in planes of their own (f32, 4 KB each), four columns at a time.
import { less, plus } from './fused';

const ROOT_HALF: f32 = 0.70710678;

/** Bytes of one plane, of the factors that {@link transform32} reads, and of the room it works in. */
export const PLANE: usize = 4096;
const ROW: usize = 128;
const STEP: usize = 16;

/**
 * Transforms along both axes, e^−i: `re` and `im` are used up, and the spectrum stands in `toRe` and `toIm` with its axes exchanged (column
 * frequency, then row frequency).
 *
 * @param factors e^(−2πi·b·k/32) for b = 0 … 3 and k = 0 … 7, real and imaginary parts in turn
 * @param room 1 KB
 */
export function transform32(re: usize, im: usize, toRe: usize, toIm: usize, factors: usize, room: usize): void {
  down(re, im, factors, room);
  turn(re, toRe);
  turn(im, toIm);
  down(toRe, toIm, factors, room);
}

/** Transforms every column: 32 = 8 × 4, each eight of rows b, b + 4, …, then the fours across them. */
function down(re: usize, im: usize, factors: usize, room: usize): void {
  for (let x: usize = 0; x < ROW; x += STEP) {
    for (let b: usize = 0; b < 4; b++) eight(re + b * ROW + x, im + b * ROW + x, factors + (b << 6), room + (b << 8));
    for (let k: usize = 0; k < 8; k++) four(room + (k << 5), re + k * ROW + x, im + k * ROW + x);
  }
}

@inline function put(re: v128, im: v128, factors: usize, to: usize, k: usize): void {
  const c = v128.load32_splat(factors + (k << 3)), s = v128.load32_splat(factors + (k << 3), 4);
  v128.store(to + (k << 5), less(im, s, f32x4.mul(re, c)));
  v128.store(to + (k << 5), plus(im, c, f32x4.mul(re, s)), 16);
}

function eight(re: usize, im: usize, factors: usize, to: usize): void {
  const half = f32x4.splat(ROOT_HALF);
  const r0 = v128.load(re), r4 = v128.load(re, 16 * 128), i0 = v128.load(im), i4 = v128.load(im, 16 * 128);
  const r2 = v128.load(re, 8 * 128), r6 = v128.load(re, 24 * 128), i2 = v128.load(im, 8 * 128), i6 = v128.load(im, 24 * 128);
  const s04 = f32x4.add(r0, r4), t04 = f32x4.add(i0, i4), d04 = f32x4.sub(r0, r4), e04 = f32x4.sub(i0, i4);
  const s26 = f32x4.add(r2, r6), t26 = f32x4.add(i2, i6), d26 = f32x4.sub(r2, r6), e26 = f32x4.sub(i2, i6);
  const evenR0 = f32x4.add(s04, s26), evenI0 = f32x4.add(t04, t26), evenR2 = f32x4.sub(s04, s26), evenI2 = f32x4.sub(t04, t26);
  const evenR1 = f32x4.add(d04, e26), evenI1 = f32x4.sub(e04, d26), evenR3 = f32x4.sub(d04, e26), evenI3 = f32x4.add(e04, d26);
  const r1 = v128.load(re, 4 * 128), r5 = v128.load(re, 20 * 128), i1 = v128.load(im, 4 * 128), i5 = v128.load(im, 20 * 128);
  const r3 = v128.load(re, 12 * 128), r7 = v128.load(re, 28 * 128), i3 = v128.load(im, 12 * 128), i7 = v128.load(im, 28 * 128);
  const s15 = f32x4.add(r1, r5), t15 = f32x4.add(i1, i5), d15 = f32x4.sub(r1, r5), e15 = f32x4.sub(i1, i5);
  const s37 = f32x4.add(r3, r7), t37 = f32x4.add(i3, i7), d37 = f32x4.sub(r3, r7), e37 = f32x4.sub(i3, i7);
  const oddR0 = f32x4.add(s15, s37), oddI0 = f32x4.add(t15, t37), oddR2 = f32x4.sub(s15, s37), oddI2 = f32x4.sub(t15, t37);
  const oddR1 = f32x4.add(d15, e37), oddI1 = f32x4.sub(e15, d37), oddR3 = f32x4.sub(d15, e37), oddI3 = f32x4.add(e15, d37);
  put(f32x4.add(evenR0, oddR0), f32x4.add(evenI0, oddI0), factors, to, 0);
  put(f32x4.sub(evenR0, oddR0), f32x4.sub(evenI0, oddI0), factors, to, 4);
  put(f32x4.add(evenR2, oddI2), f32x4.sub(evenI2, oddR2), factors, to, 2);
  put(f32x4.sub(evenR2, oddI2), f32x4.add(evenI2, oddR2), factors, to, 6);
  const firstR = f32x4.mul(half, f32x4.add(oddR1, oddI1)), firstI = f32x4.mul(half, f32x4.sub(oddI1, oddR1));
  put(f32x4.add(evenR1, firstR), f32x4.add(evenI1, firstI), factors, to, 1);
  put(f32x4.sub(evenR1, firstR), f32x4.sub(evenI1, firstI), factors, to, 5);
  const thirdR = f32x4.mul(half, f32x4.sub(oddI3, oddR3)), thirdI = f32x4.mul(half, f32x4.add(oddI3, oddR3));
  put(f32x4.add(evenR3, thirdR), f32x4.sub(evenI3, thirdI), factors, to, 3);
  put(f32x4.sub(evenR3, thirdR), f32x4.add(evenI3, thirdI), factors, to, 7);
}

function four(from: usize, re: usize, im: usize): void {
  const r0 = v128.load(from), i0 = v128.load(from, 16), r1 = v128.load(from, 256), i1 = v128.load(from, 272);
  const r2 = v128.load(from, 512), i2 = v128.load(from, 528), r3 = v128.load(from, 768), i3 = v128.load(from, 784);
  const s02 = f32x4.add(r0, r2), t02 = f32x4.add(i0, i2), d02 = f32x4.sub(r0, r2), e02 = f32x4.sub(i0, i2);
  const s13 = f32x4.add(r1, r3), t13 = f32x4.add(i1, i3), d13 = f32x4.sub(r1, r3), e13 = f32x4.sub(i1, i3);
  v128.store(re, f32x4.add(s02, s13)); v128.store(im, f32x4.add(t02, t13));
  v128.store(re, f32x4.add(d02, e13), 8 * 128); v128.store(im, f32x4.sub(e02, d13), 8 * 128);
  v128.store(re, f32x4.sub(s02, s13), 16 * 128); v128.store(im, f32x4.sub(t02, t13), 16 * 128);
  v128.store(re, f32x4.sub(d02, e13), 24 * 128); v128.store(im, f32x4.add(e02, d13), 24 * 128);
}

/** Exchanges rows and columns. */
function turn(from: usize, to: usize): void {
  for (let r: usize = 0; r < 32; r += 4) for (let c: usize = 0; c < 32; c += 4) {
    const at = from + r * ROW + (c << 2), out = to + c * ROW + (r << 2);
    const w = v128.load(at), x = v128.load(at, 128), y = v128.load(at, 256), z = v128.load(at, 384);
    const wx = v128.shuffle<f32>(w, x, 0, 4, 1, 5), yz = v128.shuffle<f32>(y, z, 0, 4, 1, 5), wxHigh = v128.shuffle<f32>(w, x, 2, 6, 3, 7), yzHigh = v128.shuffle<f32>(y, z, 2, 6, 3, 7);
    v128.store(out, v128.shuffle<f32>(wx, yz, 0, 1, 4, 5)); v128.store(out, v128.shuffle<f32>(wx, yz, 2, 3, 6, 7), 128);
    v128.store(out, v128.shuffle<f32>(wxHigh, yzHigh, 0, 1, 4, 5), 256); v128.store(out, v128.shuffle<f32>(wxHigh, yzHigh, 2, 3, 6, 7), 384);
  }
}
