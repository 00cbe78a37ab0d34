import { enlarged, type LightMap } from './light-map.js';

/** How the light of one frame lies in another. */
export interface LightMatch {
  /** Normalised correlation at the best place found, −1…1. */
  likeness: number;
  /** How far the content moved, as shares of the picture's height and width, to half a block (1.6 % of the longer edge). */
  row: number;
  column: number;
  /** How much larger the second shows it, to 2 %. */
  lnScale: number;
}

/** Frames that stand still reach 0.85 and more; from here on no other place is looked for. */
const STILL = 0.7;
/** From this likeness a place counts as found. */
export const FOUND = 0.55;
/**
 * Below this likeness the frames show different things. Between frames of different rendered subjects the best of all places and sizes
 * reached 0.28 at most; neighbours of one subject 0.69 at least. In between, nothing is claimed.
 */
export const DIFFERENT = 0.42;
/** Least share of the picture that both must show, and farthest move beside another size. */
const LEAST_COMMON = 0.35, MOST_BESIDE_SCALE = 0.15;
/** Sizes tried, ln; a step is what a correlation of three-block detail survives. */
const SCALE_STEP = 0.08, MOST_SCALE = 0.48, SCALE_FINE = 0.015;

/**
 * Looks for the light of `a` in `b`: in place, then moved sideways, then in another size. Costs nothing where it stays in place,
 * some milliseconds where it moved.
 *
 * @param a, b maps of the same size
 */
export function compareLight(a: LightMap, b: LightMap): LightMatch {
  const still = { likeness: correlation(a, b, 0, 0), row: 0, column: 0, lnScale: 0 };
  if (still.likeness >= STILL) return still;
  const moved = bestMove(a, b, 1, 0);
  if (moved.likeness >= FOUND) return moved;
  let best = moved.likeness > still.likeness ? moved : still;
  const tryScale = (lnScale: number): void => {
    const match = lnScale > 0 ? bestMove(enlarged(a, Math.exp(lnScale)), b, MOST_BESIDE_SCALE, lnScale) : bestMove(a, enlarged(b, Math.exp(-lnScale)), MOST_BESIDE_SCALE, lnScale);
    if (match.likeness > best.likeness) best = match;
  };
  for (let lnScale = SCALE_STEP; lnScale < MOST_SCALE + SCALE_STEP / 2; lnScale += SCALE_STEP) { tryScale(lnScale); tryScale(-lnScale); }
  if (best.lnScale !== 0) for (let step = SCALE_STEP / 2; step > SCALE_FINE; step /= 2) { const at = best.lnScale; tryScale(at - step); tryScale(at + step); }
  return best;
}

/** @param most farthest move looked at, as a share of the picture */
function bestMove(a: LightMap, b: LightMap, most: number, lnScale: number): LightMatch {
  const { rows, columns } = a, best: LightMatch = { likeness: -1, row: 0, column: 0, lnScale };
  const farDown = Math.floor(most * rows), farAcross = Math.floor(most * columns);
  for (let row = -farDown; row <= farDown; row++) for (let column = -farAcross; column <= farAcross; column++) {
    if ((1 - Math.abs(row) / rows) * (1 - Math.abs(column) / columns) < LEAST_COMMON) continue;
    const likeness = correlation(a, b, row, column);
    if (likeness > best.likeness) Object.assign(best, { likeness, row: row / rows, column: column / columns });
  }
  return best;
}

/** Of the blocks both show, b's moved by whole blocks. */
function correlation(a: LightMap, b: LightMap, row: number, column: number): number {
  const { rows, columns } = a;
  let sumA = 0, sumB = 0, aa = 0, bb = 0, ab = 0, n = 0;
  for (let r = Math.max(0, -row); r < Math.min(rows, rows - row); r++) {
    for (let c = Math.max(0, -column), i = r * columns + c, j = (r + row) * columns + c + column; c < Math.min(columns, columns - column); c++, i++, j++) {
      const x = a.detail[i], y = b.detail[j];
      sumA += x; sumB += y; aa += x * x; bb += y * y; ab += x * y; n++;
    }
  }
  const power = (aa - (sumA * sumA) / n) * (bb - (sumB * sumB) / n);
  return power > 0 ? (ab - (sumA * sumB) / n) / Math.sqrt(power) : 0;
}
