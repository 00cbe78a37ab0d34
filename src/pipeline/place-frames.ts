import { buildTileStack, type TileStack } from '../ladder/tile-stack.js';
import { orderAlong } from '../ladder/order-along.js';
import { findStart, startAt } from '../ladder/solve-ladder.js';
import type { Start } from '../ladder/start-positions.js';
import type { ReadTiles } from '../ladder/tile-reader.js';
import { usableTiles, type UsableTiles } from '../ladder/usable-tiles.js';
import { coarseShifts, registerStack, type StackRegistration } from '../registration/register-stack.js';
import { IDENTITY, type Similarity } from '../registration/similarity.js';
import type { FrameMeasure, MeasurePlan } from '../sharpness/measure-plan.js';

/** Whole-picture shifts up to this are left to the fine registration, measured pixels. */
const HANDHELD_PX = 6;
/** Blur pretends moves and turns, most where a bright subject ends before a dark ground: on a tripod they are followed only where the ladder's cost falls to this share. */
const DOUBTFUL_GAIN = 0.93;
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

/**
 * Finds the frames' order and first positions, registers along that order, and follows the tiles where that makes the ladder fit better.
 *
 * @param inPlace the tiles read where they stand, if they were already; taken over
 */
export function placeFrames(plan: MeasurePlan, measures: readonly FrameMeasure[], inPlace: ReadTiles | null): PlacedFrames {
  const scale = 2 ** plan.registrationLevel, reference = measures.length >> 1;
  const pictures = measures.map((m) => m.registration);
  const toMeasured = (p: Similarity): Similarity => ({ ...p, row: p.row * scale, column: p.column * scale });
  const coarse = coarseShifts(pictures, reference);
  const trials = [measures.map(() => IDENTITY)];
  // Sparse detail can fool a whole-picture shift: where it says hand-held, both it and standing still are tried.
  if (coarse.some((p) => Math.hypot(p.row, p.column) * scale > HANDHELD_PX)) trials.push(coarse.map(toMeasured));
  let best = tryTransforms(plan, measures, trials[0], inPlace);
  let spare: TileStack | undefined;
  for (const first of trials.slice(1)) {
    const other = tryTransforms(plan, measures, first), better = (other.start?.cost ?? Infinity) < (best.start?.cost ?? Infinity);
    spare = better ? best.stack : other.stack;
    if (better) best = other;
  }
  const { stack, usable, start, first } = best, handheld = first === trials[1];
  if (!start) return { stack, transforms: first, usable: null, z: null, registration: null };
  const order = orderAlong(start.z);
  const registration = registerStack(pictures, order, start.z, coarse, reference);
  const transforms = registration.transforms.map(toMeasured);
  // What blur pretends of a tripod's frames are small moves and turns; growth along the rail is real. The ladder's own fit decides.
  const still = transforms.map((p): Similarity => ({ ...IDENTITY, lnScale: p.lnScale }));
  let placed: PlacedFrames = { stack, transforms: first, usable, z: start.z, registration }, cost = handheld ? Infinity : start.cost;
  for (const candidate of [still, transforms]) {
    if (largestMove(candidate, first, measures[0]) < WORTH_PX) continue;
    const followed = buildTileStack(plan, measures, candidate, spare), stillUsable = usableTiles(followed);
    spare = followed;
    if (!stillUsable.enough) continue;
    // A tripod's order is already right; a hand-held stack's is looked for again on tiles that now stay in place.
    const again = handheld && candidate === transforms ? findStart(followed, stillUsable, [start.z]) : startAt(followed, stillUsable, start.z);
    if (again.cost < cost * (candidate === transforms && !handheld ? DOUBTFUL_GAIN : 1)) { spare = placed.stack; placed = { stack: followed, transforms: candidate, usable: stillUsable, z: again.z, registration }; cost = again.cost; }
  }
  return placed;
}

function tryTransforms(plan: MeasurePlan, measures: readonly FrameMeasure[], first: Similarity[], read: ReadTiles | null = null): { first: Similarity[]; stack: TileStack; usable: UsableTiles; start: Start | null } {
  const stack = buildTileStack(plan, measures, first, undefined, read), usable = usableTiles(stack);
  return { first, stack, usable, start: usable.enough ? findStart(stack, usable) : null };
}

/** How far any tile of any frame is placed elsewhere than by the first transforms, at most. */
function largestMove(transforms: readonly Similarity[], first: readonly Similarity[], { rows, columns }: FrameMeasure): number {
  const halfDiagonal = Math.hypot(rows, columns) / 2;
  return Math.max(...transforms.map((p, k) => Math.hypot(p.row - first[k].row, p.column - first[k].column) + (Math.abs(p.turn) + Math.abs(p.lnScale)) * halfDiagonal));
}
