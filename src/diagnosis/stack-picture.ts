import type { LadderUncertainty } from '../ladder/uncertainty.js';
import type { SolvedLadder } from '../ladder/solve-ladder.js';
import type { TileStack } from '../ladder/tile-stack.js';
import type { TileDepths } from './tile-depths.js';

/** What the diagnosis reads: the solved stack, in the report's DOF and the frames in order along the depth axis. */
export interface StackPicture {
  stack: TileStack;
  ladder: SolvedLadder;
  uncertainty: LadderUncertainty;
  tiles: TileDepths;
  /** Report DOF per ladder unit: multiply a length of the ladder by it. */
  perUnit: number;
  /** Frame numbers (of the solve) near to far. */
  order: number[];
  /** Positions of the frames in report DOF, zero at the first of `order`. */
  position: Float64Array;
  /** Depths of all tiles in report DOF on the same axis; NaN where unknown. */
  depth: Float64Array;
  /** Frames that keep nothing sharp. */
  blurred: boolean[];
  /** Tiles inside all frames: the picture that shares refer to. */
  pictureTiles: number;
}
