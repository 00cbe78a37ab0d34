import { Random } from '../render/random.js';
import type { Scene, SurfaceGroup } from '../render/scene.js';
import type { Grid } from './build-scene.js';
import { spectralNoise } from './spectral-noise.js';
import { spanPicture } from './surface.js';
import { textureLight, type TextureSpec } from './texture.js';

/** A shelf: a gently uneven surface between two depths, covering the picture from one side up to a wavy edge. */
export interface Shelf { near: number; far: number; /** Share of the picture it covers. */ reach: number }

/** Shelves before one another with free air between; nearest first, the last covers everything. */
export function ledgeScene(grid: Grid, shelves: readonly Shelf[], texture: TextureSpec, seed: number): Scene {
  const random = new Random(seed * 11 + 3);
  const { rows, columns } = grid;
  const turn = random.between(0, 2 * Math.PI);
  const groups: SurfaceGroup[] = shelves.map((shelf, k) => {
    const slope = random.between(0, 2 * Math.PI);
    const uneven = spectralNoise(rows, columns, 1.8, random, 3, 3);
    const height = plane(rows, columns, grid.picture, slope).map((v, i) => v + 0.12 * uneven[i]);
    const depth = spanPicture(height, rows, columns, grid.picture).map((v) => shelf.near + (shelf.far - shelf.near) * Math.max(0, Math.min(1, v)));
    const last = k === shelves.length - 1;
    const wave = spectralNoise(rows, columns, 2, random, 2, 12 * grid.oversample);
    const edge = last ? null : coverUpTo(plane(rows, columns, grid.picture, turn + 2.4 * k).map((v, i) => v + 0.05 * wave[i]), shelf.reach, rows, columns, grid);
    return { depth, light: [textureLight(texture, rows, columns, grid.oversample, random)], cover: edge };
  });
  return { rows, columns, oversample: grid.oversample, groups };
}

function plane(rows: number, columns: number, picture: { rows: number; columns: number }, turn: number): Float32Array {
  const out = new Float32Array(rows * columns);
  for (let row = 0; row < rows; row++) for (let column = 0; column < columns; column++) {
    out[row * columns + column] = Math.cos(turn) * ((column - columns / 2) / picture.columns) + Math.sin(turn) * ((row - rows / 2) / picture.rows);
  }
  return out;
}

/** 1 where the rank of `height` within the picture is below `share`, with an edge one grid point soft. */
function coverUpTo(height: Float32Array, share: number, rows: number, columns: number, grid: Grid): Float32Array {
  const span = spanPicture(height, rows, columns, grid.picture);
  const inside: number[] = [];
  for (let i = 0; i < span.length; i += 17) if (span[i] >= 0 && span[i] <= 1) inside.push(span[i]);
  inside.sort((a, b) => a - b);
  const level = inside[Math.floor(share * inside.length)];
  const width = 1 / grid.picture.columns;
  return span.map((v) => Math.max(0, Math.min(1, (level - v) / width + 0.5)));
}
