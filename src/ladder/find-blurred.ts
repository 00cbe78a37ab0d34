import { fastLosses } from './fast-losses.js';
import type { FocusCurve } from './focus-curve.js';
import type { LadderState } from './joint-solve.js';
import { orderAlong } from './order-along.js';
import { plainLosses } from './plain-losses.js';
import type { SolveTiles } from './solve-tiles.js';
import { median, robustSpread } from './statistics.js';
import type { TileStack } from './tile-stack.js';

/** ln of fine amplitude lost: blurred at once, or where it stands this many spreads out of line. */
const CLEAR_LOSS = 0.12, SLIGHT_LOSS = 0.055, OUT_OF_LINE = 5, LEAST_SPREAD = 0.01;
/** Lost against both neighbours in depth, whose gain of detail shows what the fit has taken up: suspected, and its gain freed to see. */
const DIP = 0.035, DIP_OUT_OF_LINE = 6, LEAST_DIP_SPREAD = 0.005;
/** In fewer frames a lost contrast and a wrong position look the same. */
const LEAST_FRAMES_FOR_BLUR = 5;
/** Share of the tiles near a frame that must fit, or the frame may be what does not. */
const LEAST_RELIED = 1 / 3;
/** What a frame lost counts less this many of its own standard errors. */
const SURE_SIGMAS = 2;
/** Neighbouring tiles whose boxes overlap err alike: so many count as one. */
const TILES_ALIKE = 4;

/** Per frame: ln of amplitude near focus against what the fit says it should be, gain apart; NaN where too little was near focus. */
export interface LossOfDetail {
  fine: Float64Array;
  /** How much more of the fine band is lost than of the coarsest. */
  lead: Float64Array;
  /** Standard error of `fine`, as the tiles near focus scatter. */
  error: Float64Array;
}

/**
 * What each frame lost of the detail it should show. Entries where something else is seen are left out.
 *
 * @param settle only tiles that can be relied on count. Before that, where two thirds of those near a frame can't, all of them do: it may be this frame that fits none of them
 */
export function lossOfDetail(stack: TileStack, tiles: SolveTiles, state: LadderState, curves: readonly FocusCurve[], tileTrust: Float64Array, settle: boolean): LossOfDetail {
  const { count, frames } = tiles, loss = new Float64Array(frames).fill(NaN), lead = new Float64Array(frames).fill(NaN), error = new Float64Array(frames).fill(NaN);
  const near = fastLosses(stack, tiles, state, curves, tileTrust, settle) ?? plainLosses(stack, tiles, state, curves, tileTrust, settle);
  for (let k = 0; k < frames; k++) {
    const { relied, fine, coarse } = near[k], inDoubt = relied < LEAST_RELIED * fine.length, most = inDoubt ? fine.length : relied;
    if (most <= Math.max(30, 0.02 * count)) continue;
    const ofFine = fine.subarray(0, most);
    loss[k] = median(ofFine);
    lead[k] = loss[k] - median(coarse.subarray(0, most));
    // Of a median of normal values, against that of their mean.
    error[k] = (1.25 * robustSpread(ofFine)) / Math.sqrt(most / TILES_ALIKE);
  }
  return { fine: loss, lead, error };
}

/**
 * Frames that lost fine detail evenly where they should be near focus, and coarse detail less: they were shaken. A frame is looked at anew in each
 * round: once its gain is free, what it lost stands out from what its neighbours took up, and a wrong suspicion falls.
 *
 * @param z frame positions, DOF
 * @param blurred the last round's frames; changed in place
 * @param blurLoss changed in place: what each frame lost
 * @param settle no round follows that could clear up a suspicion: only what is certain counts
 */
export function findBlurred({ fine, lead, error }: LossOfDetail, z: ArrayLike<number>, blurred: boolean[], blurLoss: Float64Array, settle: boolean): void {
  blurLoss.set(fine);
  if (fine.length < LEAST_FRAMES_FOR_BLUR) return;
  const spreadOf = (values: Float64Array, least: number): number => { const known = Array.from(values).filter((v) => !Number.isNaN(v)); return known.length ? Math.max(least, robustSpread(known)) : least; };
  const usual = spreadOf(fine, LEAST_SPREAD), dip = againstNeighbours(fine, z), leadDip = againstNeighbours(lead, z), usualDip = spreadOf(dip, LEAST_DIP_SPREAD);
  for (let k = 0; k < fine.length; k++) {
    const sure = settle ? SURE_SIGMAS * error[k] : 0, lost = (limit: number): boolean => fine[k] + sure < -limit && lead[k] < -limit / 2;
    const suspected = dip[k] < -Math.max(DIP, DIP_OUT_OF_LINE * usualDip) && leadDip[k] < -DIP / 2;
    blurred[k] = lost(CLEAR_LOSS) || (lost(SLIGHT_LOSS) && (blurred[k] || fine[k] < -OUT_OF_LINE * usual)) || (suspected && !blurred[k] && !settle);
  }
}

/** Each value less the mean of its neighbours' along the depth axis; NaN where one is missing. */
function againstNeighbours(values: Float64Array, z: ArrayLike<number>): Float64Array {
  const order = orderAlong(z), out = new Float64Array(values.length).fill(NaN);
  for (let i = 1; i + 1 < order.length; i++) out[order[i]] = values[order[i]] - (values[order[i - 1]] + values[order[i + 1]]) / 2;
  return out;
}
