import { describe, expect, it } from 'vitest';
import { mixedTrust } from '../../src/ladder/mixed-trust.js';
import { Random } from '../helpers/render/random.js';

const SIZE = 24, middle = 12;
const map = (depth: (row: number, column: number) => number) => Float64Array.from({ length: SIZE * SIZE }, (_, i) => depth(Math.floor(i / SIZE), i % SIZE));
const all = Int32Array.from({ length: SIZE * SIZE }, (_, i) => i), at = (row: number, column: number) => row * SIZE + column;
const trust = (depth: Float64Array) => mixedTrust(depth, SIZE, SIZE, all);

describe('mixedTrust', () => {
  // By its definition: between two flat surfaces a tile that lies half-way shows both.
  it('takes no notice of a tile on the edge between two surfaces, and relies on those beside it', () => {
    const edge = trust(map((_, column) => (column < middle ? 2 : column === middle ? 3 : 4)));
    expect(edge[at(10, middle)]).toBeLessThan(0.02);
    expect(edge[at(10, middle - 4)]).toBe(1);
    expect(edge[at(10, middle + 4)]).toBe(1);
  });

  it('finds such edges in any direction', () => {
    const slanted = trust(map((row, column) => (row + column < SIZE ? 2 : row + column === SIZE ? 3 : 4))), level = trust(map((row) => (row < middle ? 2 : row === middle ? 3 : 4)));
    expect(slanted[at(10, SIZE - 10)]).toBeLessThan(0.02);
    expect(level[at(middle, 10)]).toBeLessThan(0.02);
  });

  it('relies on slopes, however steep, and on domes', () => {
    expect(Math.min(...trust(map((row, column) => 0.8 * row - 0.5 * column)))).toBeGreaterThan(0.999);
    expect(Math.min(...trust(map((row, column) => 0.02 * ((row - 12) ** 2 + (column - 12) ** 2))))).toBeGreaterThan(0.99);
  });

  it('leaves rough ground its say, where neighbours differ everywhere', () => {
    const random = new Random(3), rough = trust(map(() => 0.8 * random.normal()));
    expect(rough.slice().sort()[rough.length >> 1]).toBeGreaterThan(0.8);
  });

  it('says nothing against a tile whose neighbours are unknown', () => {
    const few = new Float64Array(SIZE * SIZE).fill(NaN);
    few[at(10, 10)] = 1; few[at(10, 11)] = 5;
    expect(trust(few)[at(10, 10)]).toBe(1);
  });
});
