import { describe, expect, it } from 'vitest';
import { randomFrom } from '../../src/ladder/statistics.js';
import { blocksOf, lightMap } from '../../src/registration/light-map.js';

describe('lightMap', () => {
  it('takes the mean of the surroundings, three blocks to either side as far as there are any, out of ln brightness', () => {
    const rows = 90, columns = 130, random = randomFrom(2), { down, across } = blocksOf(rows, columns), means = Float64Array.from({ length: down * across }, () => 0.2 + random());
    const { light, detail, telling } = lightMap(means, rows, columns);
    expect([light.length, telling]).toEqual([down * across, true]);
    // The definition, block by block.
    for (let r = 0; r < down; r++) for (let c = 0; c < across; c++) {
      const around: number[] = [];
      for (let y = r - 3; y <= r + 3; y++) for (let x = c - 3; x <= c + 3; x++) if (y >= 0 && x >= 0 && y < down && x < across) around.push(Math.log(means[y * across + x]));
      expect(light[r * across + c]).toBeCloseTo(Math.log(means[r * across + c]), 12);
      expect(detail[r * across + c]).toBeCloseTo(Math.log(means[r * across + c]) - around.reduce((a, b) => a + b, 0) / around.length, 12);
    }
  });
});
