import { Image } from 'image-js';
import { describe, expect, it } from 'vitest';
import { convolveSeparable } from '../../src/image/convolve-separable.js';
import { bandResponse } from '../../src/sharpness/band-response.js';
import { bandSigmaPx, gaussianHalfKernel } from '../../src/sharpness/gaussian-kernel.js';
import { laplacian, laplacianResponse } from '../../src/sharpness/laplacian.js';
import { randomFrom } from '../../src/ladder/statistics.js';

const rows = 40, columns = 56;
const random = randomFrom(11);
const codes = Uint8Array.from({ length: rows * columns }, () => Math.floor(256 * random()));
const picture = Float32Array.from(codes);

function referenceConvolution(kernel: number[][]): Float64Array {
  return new Image(columns, rows, { data: codes, colorModel: 'GREY' }).rawDirectConvolution(kernel, { borderType: 'reflect' });
}

describe('Laplacian against image-js (reference library)', () => {
  it('gives the same values inside and at the mirrored edges', () => {
    const kernel = [[1, 4, 1], [4, -20, 4], [1, 4, 1]].map((row) => row.map((v) => v / 6));
    const expected = referenceConvolution(kernel), got = laplacian(picture, rows, columns);
    // Single precision on values up to 256 · 20/6: 1e-3 is a few units in the last place.
    got.forEach((v, i) => expect(Math.abs(v - expected[i])).toBeLessThan(1e-3));
  });

  it('smooths as the reference library does with the same kernel', () => {
    const half = gaussianHalfKernel(1.4), line = [...half.slice(1)].reverse().concat([...half]);
    const expected = referenceConvolution(line.map((a) => line.map((b) => a * b)));
    convolveSeparable(picture, rows, columns, half).forEach((v, i) => expect(Math.abs(v - expected[i])).toBeLessThan(1e-3));
  });
});

describe('noise gain (sum of squared weights: standard result, as in the check values for the ×20 and ×72 kernels)', () => {
  it('of the 3×3 Laplacian is (4·1 + 4·16 + 400)/36 = 13', () => {
    let sum = 0;
    const n = 64;
    for (let i = 0; i < n; i++) for (let j = 0; j < n; j++) sum += laplacianResponse(i / n, j / n) ** 2;
    // Parseval: mean squared response over all frequencies is the sum of squared weights.
    expect(sum / n ** 2).toBeCloseTo(13, 9);
  });

  it('of a band is the variance of its response to white noise, by simulation', () => {
    const size = 512, white = new Float32Array(size * size), gauss = randomFrom(5);
    for (let i = 0; i < white.length; i++) white[i] = Math.sqrt(-2 * Math.log(gauss() + 1e-12)) * Math.cos(2 * Math.PI * gauss());
    for (const order of [1, 2, 3]) {
      const band = { centre: 0.2, order, level: 0, boxPx: 16 };
      let response = convolveSeparable(white, size, size, gaussianHalfKernel(bandSigmaPx(band.centre, order)));
      for (let i = 0; i < order; i++) response = laplacian(response, size, size);
      const { noiseGain, scale } = bandResponse(band);
      const variance = (response.reduce((a, v) => a + v * v, 0) / response.length) * scale ** 2;
      // 512² samples of a band about a tenth of the spectrum wide: 1 % standard error, 4 sigma allowed.
      expect(variance / noiseGain).toBeGreaterThan(0.96);
      expect(variance / noiseGain).toBeLessThan(1.04);
    }
  });

  it('passes a sine at the band centre with unit amplitude', () => {
    const size = 256, f = 0.125, sine = new Float32Array(size * size);
    for (let r = 0; r < size; r++) for (let c = 0; c < size; c++) sine[r * size + c] = Math.cos(2 * Math.PI * f * c);
    const band = { centre: f, order: 2, level: 0, boxPx: 16 };
    let response = convolveSeparable(sine, size, size, gaussianHalfKernel(bandSigmaPx(f, 2)));
    response = laplacian(laplacian(response, size, size), size, size);
    const inner = [];
    for (let r = 60; r < 196; r++) for (let c = 64; c < 192; c++) inner.push((response[r * size + c] * bandResponse(band).scale) ** 2);
    // Mean square of a unit cosine is ½; the discrete peak lies a little off the centre: 3 %.
    expect(inner.reduce((a, b) => a + b, 0) / inner.length).toBeCloseTo(0.5, 1);
    expect(Math.abs(inner.reduce((a, b) => a + b, 0) / inner.length / 0.5 - 1)).toBeLessThan(0.03);
  });
});
