import type { FocusCurve } from './focus-curve.js';
import type { LadderState, SolveSettings } from './joint-solve.js';
import { plainTilePass } from './plain-tile-pass.js';
import { fastTilePass } from './fast-tile-pass.js';
import type { SolveTiles } from './solve-tiles.js';

/** What the tiles add to the normal equations of the frames' unknowns: z of every frame, then band × free gain. */
export interface TileSums {
  /** By the sigmas of the accepted state, which a step is judged by; by their own, which the next step is judged against. */
  held: number;
  cost: number;
  diagonal: Float64Array;
  right: Float64Array;
  /** band × free gain: the entry between a frame's position and its gain. */
  cross: Float64Array;
}

/** What eliminating the tiles takes from the frames' system: unknowns × unknowns, lower triangle, and right side. */
export interface TakenByTiles { matrix: Float64Array; right: Float64Array }

/** Every entry's residual in sigmas, robust × given weight, derivatives by z and by ln amplitude (in sigmas), and sigma: band by band, tile × frame. Where `robust` is 0 the others mean nothing. */
export interface SolveEntries {
  residual: Float32Array[];
  robust: Float32Array[];
  byZ: Float32Array[];
  byLnAmplitude: Float32Array[];
  sigma: Float32Array[];
  /** tile × (1 + bands) × unknowns: coupling of a tile's unknowns (depth, then amplitudes) to the frames'. */
  coupling: Float32Array | Float64Array;
  /** tile × (1 + bands)²: the tiles' own normal matrices. */
  tileNormal: Float64Array;
}

/**
 * The tiles' part of one joint solve. Holds an accepted state of the tiles and a tried one; a pass goes over all tiles once, and each tile is
 * moved, evaluated and eliminated while its entries are at hand.
 */
export interface TilePass {
  /**
   * Tries frames at z and gain (band × frame, ln), and each tile where the frames' step takes it; null: where it is.
   * @param damping of the elimination, for the step after this one
   */
  try(step: Float64Array | null, z: Float64Array, gain: Float64Array, damping: number): { sums: TileSums; taken: TakenByTiles };
  /** Takes what was tried. */
  accept(): void;
  /** Eliminates the accepted tiles at another damping. */
  eliminate(damping: number): TakenByTiles;
  /**
   * Evaluates the accepted state once more, undamped, and writes depths and amplitudes into `state`.
   * @returns besides the sums: rms residual of each tile by given weights, variance of its depth about the frames, and with `entries` every entry
   */
  finish(state: LadderState, entries: boolean): { sums: TileSums; taken: TakenByTiles; misfit: Float64Array; depthVariance: Float64Array; entries: SolveEntries | null };
}

/** By the SIMD kernel where it is there and has room, else plainly: the same numbers. */
export function startTilePass(curves: readonly FocusCurve[], tiles: SolveTiles, state: LadderState, settings: SolveSettings): TilePass {
  return fastTilePass(curves, tiles, state, settings) ?? plainTilePass(curves, tiles, state, settings);
}
