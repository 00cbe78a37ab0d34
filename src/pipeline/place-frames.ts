import { buildTileStack, type TileStack } from '../ladder/tile-stack.js';
import { findStart, startAt } from '../ladder/solve-ladder.js';
import { usableTiles, type UsableTiles } from '../ladder/usable-tiles.js';
import { coarseShifts, registerStack, type StackRegistration } from '../registration/register-stack.js';
import { IDENTITY, type Similarity } from '../registration/similarity.js';
import type { FrameMeasure, MeasurePlan } from '../sharpness/measure-plan.js';

/** Whole-picture shifts up to this are left to the fine registration, measured pixels. */
const HANDHELD_PX = 6;
/** Registration is used where it moves something by more than this, measured pixels. */
const WORTH_PX = 1.5;

export interface PlacedFrames {
  stack: TileStack;
  /** From the middle frame to each, measured pixels. */
  transforms: Similarity[];
  usable: UsableTiles | null;
  /** Positions to start the joint solve from; null: too little detail. */
  z: Float64Array | null;
  registration: StackRegistration | null;
}

/** Finds the frames' order and first positions, registers along that order, and follows the tiles where that makes the ladder fit better. */
export function placeFrames(plan: MeasurePlan, measures: readonly FrameMeasure[]): PlacedFrames {
  const scale = 2 ** plan.registrationLevel, reference = measures.length >> 1;
  const pictures = measures.map((m) => m.registration);
  const toMeasured = (p: Similarity): Similarity => ({ ...p, row: p.row * scale, column: p.column * scale });
  const coarse = coarseShifts(pictures, reference), handheld = coarse.some((p) => Math.hypot(p.row, p.column) * scale > HANDHELD_PX);
  const first = handheld ? coarse.map(toMeasured) : measures.map(() => IDENTITY);
  const stack = buildTileStack(plan, measures, first), usable = usableTiles(stack);
  if (!usable.enough) return { stack, transforms: first, usable: null, z: null, registration: null };
  const start = findStart(stack, usable);
  const order = Array.from(start.z, (_, k) => k).sort((a, b) => start.z[a] - start.z[b]);
  const registration = registerStack(pictures, order, start.z, coarse, reference);
  const transforms = registration.transforms.map(toMeasured);
  const asBefore: PlacedFrames = { stack, transforms: first, usable, z: start.z, registration };
  if (largestMove(transforms, first, measures[0]) < WORTH_PX) return asBefore;
  const followed = buildTileStack(plan, measures, transforms), stillUsable = usableTiles(followed);
  if (!stillUsable.enough) return asBefore;
  // A tripod's order is already right; a hand-held stack's is looked for again on tiles that now stay in place.
  const again = handheld ? findStart(followed, stillUsable, [start.z]) : startAt(followed, stillUsable, start.z);
  return again.cost < start.cost || handheld ? { stack: followed, transforms, usable: stillUsable, z: again.z, registration } : asBefore;
}

/** How far any tile of any frame is placed elsewhere than by the first transforms, at most. */
function largestMove(transforms: readonly Similarity[], first: readonly Similarity[], { rows, columns }: FrameMeasure): number {
  const halfDiagonal = Math.hypot(rows, columns) / 2;
  return Math.max(...transforms.map((p, k) => Math.hypot(p.row - first[k].row, p.column - first[k].column) + (Math.abs(p.turn) + Math.abs(p.lnScale)) * halfDiagonal));
}
