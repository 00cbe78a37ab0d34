import { describe, expect, it } from 'vitest';
import { takePicture } from './take-picture.js';

const SIZE = 128, PICTURE = 80;
const wave = (cycles: number) => Float32Array.from({ length: SIZE * SIZE }, (_, i) => Math.sin((2 * Math.PI * cycles * (i % SIZE)) / SIZE));

// Expected values: the sine itself at the moved place (sampling theorem), nothing rendered.
describe('takePicture', () => {
  it.each([10, 40, 51])('moves a sine of %i cycles per 128 points without softening it', (cycles) => {
    const shift = { row: -0.21, column: 0.37 };
    const picture = takePicture(wave(cycles), { rows: SIZE, columns: SIZE, oversample: 1 }, { focus: 0, scale: 1, turnRad: 0, shiftPx: shift, shakePx: null }, PICTURE, PICTURE);
    for (let c = 0; c < PICTURE; c++) {
      const x = c - (PICTURE - 1) / 2 - shift.column + (SIZE - 1) / 2;
      expect(Math.abs(picture[40 * PICTURE + c] - Math.sin((2 * Math.PI * cycles * x) / SIZE))).toBeLessThan(0.008);
    }
  });

  it('turns and scales about the middle', () => {
    const turn = 0.03, scale = 1.01, cycles = 20;
    const picture = takePicture(wave(cycles), { rows: SIZE, columns: SIZE, oversample: 1 }, { focus: 0, scale, turnRad: turn, shiftPx: { row: 2, column: 1 }, shakePx: null }, PICTURE, PICTURE);
    for (const [r, c] of [[10, 12], [40, 40], [70, 15], [66, 71]]) {
      const y = r - (PICTURE - 1) / 2 - 2, x = c - (PICTURE - 1) / 2 - 1;
      const column = (Math.cos(turn) * x + Math.sin(turn) * y) / scale + (SIZE - 1) / 2;
      expect(picture[r * PICTURE + c]).toBeCloseTo(Math.sin((2 * Math.PI * cycles * column) / SIZE), 2);
    }
  });
});
