import { cutoffPerPixel, type Lens } from '../render/lens.js';
import { Random } from '../render/random.js';
import type { Scene } from '../render/scene.js';
import { surfaceShape, type SurfaceKind } from './surface.js';
import { textureLight, type TextureSpec } from './texture.js';

const MARGIN_PX = 28;
/** Above this cutoff (cycles per pixel) the picture is undersampled and the grid must be finer than its pixels. */
const FINE_GRID_ABOVE = 0.52;

export interface Grid { rows: number; columns: number; oversample: number; picture: { rows: number; columns: number } }

/** The power-of-two grid a picture is rendered on. */
export function gridFor(lens: Lens, picture: { rows: number; columns: number }): Grid {
  const oversample = cutoffPerPixel(lens) > FINE_GRID_ABOVE ? 2 : 1;
  const size = (pixels: number) => 2 ** Math.ceil(Math.log2((pixels + 2 * MARGIN_PX) * oversample));
  return { rows: size(picture.rows), columns: size(picture.columns), oversample,
    picture: { rows: picture.rows * oversample, columns: picture.columns * oversample } };
}

/** One continuous surface whose depths within the picture run from `near` to `far`. */
export function surfaceScene(grid: Grid, surface: SurfaceKind, near: number, far: number, texture: TextureSpec, seed: number): Scene {
  const shape = surfaceShape(surface, grid.rows, grid.columns, grid.picture, new Random(seed * 7 + 1));
  const depth = shape.map((v) => near + (far - near) * Math.max(-0.3, Math.min(1.3, v)));
  const light = textureLight(texture, grid.rows, grid.columns, grid.oversample, new Random(seed * 7 + 2));
  return { rows: grid.rows, columns: grid.columns, oversample: grid.oversample, groups: [{ depth, light: [light], cover: null }] };
}
