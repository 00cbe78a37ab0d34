import { buildTileStack, type TileStack } from '../ladder/tile-stack.js';
import { findStart, startAt } from '../ladder/solve-ladder.js';
import type { Start } from '../ladder/start-positions.js';
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
  const coarse = coarseShifts(pictures, reference);
  const trials = [measures.map(() => IDENTITY)];
  // Sparse detail can fool a whole-picture shift: where it says hand-held, both it and standing still are tried.
  if (coarse.some((p) => Math.hypot(p.row, p.column) * scale > HANDHELD_PX)) trials.push(coarse.map(toMeasured));
  const tried = trials.map((first) => tryTransforms(plan, measures, first));
  const best = tried.reduce((a, b) => ((b.start?.cost ?? Infinity) < (a.start?.cost ?? Infinity) ? b : a));
  const { stack, usable, start, first } = best, handheld = first === trials[1];
  if (!start) return { stack, transforms: first, usable: null, z: null, registration: null };
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

function tryTransforms(plan: MeasurePlan, measures: readonly FrameMeasure[], first: Similarity[]): { first: Similarity[]; stack: TileStack; usable: UsableTiles; start: Start | null } {
  const stack = buildTileStack(plan, measures, first), usable = usableTiles(stack);
  return { first, stack, usable, start: usable.enough ? findStart(stack, usable) : null };
}

/** How far any tile of any frame is placed elsewhere than by the first transforms, at most. */
function largestMove(transforms: readonly Similarity[], first: readonly Similarity[], { rows, columns }: FrameMeasure): number {
  const halfDiagonal = Math.hypot(rows, columns) / 2;
  return Math.max(...transforms.map((p, k) => Math.hypot(p.row - first[k].row, p.column - first[k].column) + (Math.abs(p.turn) + Math.abs(p.lnScale)) * halfDiagonal));
}
