import { describe, expect, it } from 'vitest';
import { silhouette } from '../../src/ladder/silhouette.js';
import { steadyTiles } from '../../src/ladder/steady-tiles.js';
import type { TileStack } from '../../src/ladder/tile-stack.js';

// Light by hand, as ln √: a subject of 0.5 on the left (ln √0.5 = −0.35) before ground of 0.012 (−2.2), 40 times darker; between them the edge tile shows half of each (−0.7).
const ROW = [-0.35, -0.3, -0.4, -0.35, -0.7, -2.2, -2.2, -2.2, -2.2], ROWS = 5, COLUMNS = ROW.length;
const LIGHT = Float64Array.from(Array.from({ length: ROWS }, () => ROW).flat());
const scene = (light: Float64Array) => ({ light, inside: new Uint8Array(light.length).fill(1), gridRows: ROWS, gridColumns: COLUMNS });
const middleRow = (flags: Uint8Array) => Array.from(flags.subarray(2 * COLUMNS, 3 * COLUMNS));

describe('silhouette', () => {
  it('tells the dark ground that a subject’s light reaches from the subject’s own rim', () => {
    const { ground, rim } = silhouette(scene(LIGHT));
    expect(middleRow(ground)).toEqual([0, 0, 0, 0, 0, 1, 1, 0, 0]);
    expect(middleRow(rim)).toEqual([0, 0, 0, 1, 1, 0, 0, 0, 0]);
  });
  it('finds none in a texture of light and dark', () => {
    // Twice and half the light: ln √4 = 0.7 between neighbours.
    const { ground, rim } = silhouette(scene(LIGHT.map((_, t) => (t % 2 ? 0.35 : -0.35))));
    expect([...ground, ...rim].some(Boolean)).toBe(false);
  });
  it('says nothing of what lies outside a frame', () => {
    const outside = { ...scene(LIGHT), inside: Uint8Array.from(LIGHT, (v) => (v < -2 ? 0 : 1)) };
    expect([...silhouette(outside).rim].some(Boolean)).toBe(false);
  });
  it('keeps the rim out of the solve where enough else is there', () => {
    const rows = 20, light = Float64Array.from(Array.from({ length: rows }, () => ROW).flat()), tiles = light.length;
    const stack = { ...scene(light), inside: new Uint8Array(tiles).fill(1), gridRows: rows, frames: 1, trust: new Float32Array(tiles).fill(1), energy: [0, 1, 2].map(() => new Float32Array(tiles).fill(2)), noise: [0, 1, 2].map(() => Float64Array.of(1)) } as unknown as TileStack;
    const lit = Int32Array.from(light.keys()).filter((t) => t % COLUMNS <= 4);
    expect(Array.from(steadyTiles(stack, lit), (t) => t % COLUMNS).sort().at(-1)).toBe(2);
  });
});
