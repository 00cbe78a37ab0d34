import { describe, expect, it } from 'vitest';
import { fromShortFloats, shortFloats } from '../../src/image/short-floats.js';

const back = (values: number[]): number[] => [...fromShortFloats(shortFloats(Float32Array.from(values)), new Float32Array(values.length))];

// Ten bits behind the leading one, rounded to nearest: relative error of half a unit in the last place, 2^-11 (IEEE 754 on rounding).
describe('shortFloats', () => {
  it('keeps values from 2^-49 to 2^13 to 2^-11', () => {
    for (let octave = -49; octave < 13; octave++) for (const part of [1, 1.0004, 1.234567, 1.5, 1.9994, 1.9999]) {
      const value = part * 2 ** octave;
      expect(Math.abs(back([value])[0] / value - 1)).toBeLessThanOrEqual(2 ** -11 * 1.0001);
    }
  });
  it('keeps what ten bits hold exactly', () => expect(back([0, 1, 0.5, 1023 / 1024, 3, 2 ** -40])).toEqual([0, 1, 0.5, 1023 / 1024, 3, 2 ** -40]));
  // The last code is kept for what is no number; below 2^14 they are 8 apart.
  it('takes less than it can hold as nothing, and more as its largest', () => {
    expect(back([1e-30])).toEqual([0]);
    expect(back([1e20, Infinity])).toEqual([16_368, 16_368]);
  });
  it('leaves what is no number none', () => expect(back([NaN])).toEqual([NaN]));
  it('reads and writes parts of larger arrays', () => {
    const whole = Float32Array.of(9, 1, 2, 9), out = new Float32Array(4);
    fromShortFloats(shortFloats(whole.subarray(1, 3)), out.subarray(2));
    expect([...out]).toEqual([0, 0, 1, 2]);
  });
});
