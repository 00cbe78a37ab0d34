// AssemblyScript, compiled to SIMD WebAssembly together with filters.ts: the radial power spectra of src/sharpness/spectrum-windows.ts in single
// precision; tests/unit/simd-measure.test.ts holds the two together.
import { PLANE, transform32 } from './fft32';

/** Tables: Hann weights (32 f32), factors of the transform (64 f32), what each bin's sum is multiplied with (16 f32), then each frequency's bin in a half spectrum (17 × 32 bytes). */
const FACTORS: usize = 128, SHARES: usize = 384, BINS: usize = 448;

/**
 * @param windows f32, 32 × 32 pixels each, one after another
 * @param room for four planes and 1.5 KB
 * @param out sixteen bins a window (f32)
 */
export function radialSpectra(windows: usize, count: i32, tables: usize, room: usize, out: usize): void {
  const re = room, im = re + PLANE, toRe = im + PLANE, toIm = toRe + PLANE, work = toIm + PLANE, sums = work + 1024, second = sums + 17 * 8;
  // Two windows at a time, as real and imaginary part: which is whose follows from a frequency and its opposite.
  for (let i = 0; i < count; i += 2) {
    const both = i + 1 < count;
    weigh(windows + (<usize>i << 12), tables, re);
    if (both) weigh(windows + (<usize>(i + 1) << 12), tables, im); else memory.fill(im, 0, PLANE);
    transform32(re, im, toRe, toIm, tables + FACTORS, work);
    memory.fill(sums, 0, 2 * 17 * 8);
    for (let c = 0; c <= 16; c++) for (let r = 0; r < 32; r++) {
      const p = <usize>((c << 5) + r) << 2, q = <usize>((((32 - c) & 31) << 5) + ((32 - r) & 31)) << 2, bin = <usize>load<u8>(tables + BINS + (p >> 2)) << 3;
      const pRe = load<f32>(toRe + p), pIm = load<f32>(toIm + p), qRe = load<f32>(toRe + q), qIm = load<f32>(toIm + q);
      const aRe = pRe + qRe, aIm = pIm - qIm, bRe = pIm + qIm, bIm = qRe - pRe;
      store<f64>(sums + bin, load<f64>(sums + bin) + <f64>(aRe * aRe + aIm * aIm));
      store<f64>(second + bin, load<f64>(second + bin) + <f64>(bRe * bRe + bIm * bIm));
    }
    for (let bin: usize = 0; bin < 16; bin++) {
      const share = 0.25 * <f64>load<f32>(tables + SHARES + (bin << 2)), to = out + (<usize>i << 6) + (bin << 2);
      store<f32>(to, <f32>(share * load<f64>(sums + (bin << 3))));
      if (both) store<f32>(to, <f32>(share * load<f64>(second + (bin << 3))), 64);
    }
  }
}

/** A window's pixels less their mean, weighted. */
function weigh(from: usize, weights: usize, to: usize): void {
  // Against one of the pixels: what a rounded sum of them all leaves of the mean would show in the lowest bins.
  const one = v128.load32_splat(from);
  let total = f32x4.splat(0);
  for (let i: usize = 0; i < 4096; i += 16) total = f32x4.add(total, f32x4.sub(v128.load(from + i), one));
  const mean = f32x4.splat((f32x4.extract_lane(total, 0) + f32x4.extract_lane(total, 1) + f32x4.extract_lane(total, 2) + f32x4.extract_lane(total, 3)) / 1024);
  for (let r: usize = 0; r < 32; r++) {
    const weight = v128.load32_splat(weights + (r << 2));
    for (let c: usize = 0; c < 128; c += 16) v128.store(to + (r << 7) + c, f32x4.mul(f32x4.sub(f32x4.sub(v128.load(from + (r << 7) + c), one), mean), f32x4.mul(weight, v128.load(weights + c))));
  }
}
