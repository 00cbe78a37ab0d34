import { describe, expect, it } from 'vitest';
import { Random } from './random.js';
import { recordPicture, type Sensor } from './sensor.js';

const SENSOR: Sensor = { fullWellElectrons: 3000, readNoiseElectrons: 6, mosaic: false, sharpening: 0, noiseReductionPx: 0, dust: null, channelGain: [1, 1, 1] };
const SIZE = 256;

/** IEC 61966-2-1, decoding. */
const decode = (byte: number) => { const v = byte / 255; return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4; };

describe('recordPicture', () => {
  // Source: photon noise variance = count (Poisson), read noise adds its square; 1/12 of a code value squared for rounding.
  it('has the noise of counted photons plus the read noise', () => {
    const level = 0.3;
    const bytes = recordPicture([new Float32Array(SIZE * SIZE).fill(level)], SIZE, SIZE, 1, SENSOR, new Random(3));
    let sum = 0, squares = 0;
    for (let i = 0; i < bytes.length; i += 3) { const v = decode(bytes[i]); sum += v; squares += v * v; }
    const count = bytes.length / 3, mean = sum / count, variance = squares / count - mean * mean;
    const codeWidth = decode(150) - decode(149);
    const expected = (level * 3000 + 36) / 3000 ** 2 + codeWidth ** 2 / 12;
    expect(Math.abs(mean - level)).toBeLessThan(4 * Math.sqrt(expected / count) + 1e-4);
    // Scatter of a variance over 65 536 pixels is 0.55 %: 2 % is more than three of them.
    expect(Math.abs(variance / expected - 1)).toBeLessThan(0.02);
  });

  it('clips at level 1 and keeps black black', () => {
    const light = Float32Array.from({ length: SIZE * SIZE }, (_, i) => (i < SIZE ? 5 : 0));
    const bytes = recordPicture([light], SIZE, SIZE, 1, { ...SENSOR, readNoiseElectrons: 0 }, new Random(1));
    expect(bytes[0]).toBe(255);
    expect(bytes[bytes.length - 1]).toBe(0);
  });

  it('shares noise between neighbours under a mosaic (bilinear filling averages them)', () => {
    const correlation = (mosaic: boolean) => {
      const bytes = recordPicture([new Float32Array(SIZE * SIZE).fill(0.3)], SIZE, SIZE, 1, { ...SENSOR, mosaic }, new Random(5));
      let a = 0, b = 0, mean = 0;
      for (let i = 0; i < SIZE * SIZE; i++) mean += bytes[3 * i] / (SIZE * SIZE);
      for (let i = 0; i + 1 < SIZE * SIZE; i++) { a += (bytes[3 * i] - mean) ** 2; b += (bytes[3 * i] - mean) * (bytes[3 * i + 3] - mean); }
      return b / a;
    };
    expect(Math.abs(correlation(false))).toBeLessThan(0.02);
    expect(correlation(true)).toBeGreaterThan(0.4);
  });
});
