import type { Similarity } from '../registration/similarity.js';
import type { FrameMeasure } from '../sharpness/measure-plan.js';

/** A stack's tiles, and what is found of them while frames are read: 0 where one leaves a frame, or lies near clipped pixels in one. */
export interface FollowedTiles { gridRows: number; gridColumns: number; inside: Uint8Array; clear: Uint8Array }

/** Reads one frame's tiles where the transform puts them: energies of all bands, then ln brightness, one value a tile each. Marks the tiles' flags. */
export type TileFollower = (measure: FrameMeasure, transform: Similarity, out: readonly Float32Array[]) => void;

export const EDGE_PX = 4;
export const CLIP_REACH_PX = 33;
export const MOST_CLIPPED = 2.5 / CLIP_REACH_PX ** 2;
export const LEAST_LIGHT = 1e-3;
/** Edge of the box that brightness is averaged over, in cells: a tile. */
export const LIGHT_CELLS = 2;
