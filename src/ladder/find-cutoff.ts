import { depthsOfTiles } from './depths-of-tiles.js';
import { GRID_VARIANCE } from './exhaustive-depth.js';
import { spectrumMisfit, type FocusSpectrum } from './focus-spectrum.js';
import type { RefinedLadder } from './refine.js';
import { seenDepths } from './seen-depths.js';
import { chosenTiles, refineBy, roughLadder } from './solve-ladder.js';
import { HUBER } from './plain-tile-pass.js';
import { median } from './statistics.js';
import type { TileStack } from './tile-stack.js';
import type { UsableTiles } from './usable-tiles.js';

/** Tried, as multiples of the plan's cutoff: at 0.42 from f/11 at 5× on fine pixels to a wide-open lens on a picture made four times smaller. */
const TRIED = [0.48, 0.71, 1, 1.43, 2.14, 3.2, 4.8] as const;
/** Where the search begins; it goes on to both sides until the fit is clearly worse. */
const FIRST = TRIED.indexOf(1);
const TILES = 700, ROUNDS = 2;
/** What most lenses and pictures give, cycles per source pixel, and how weakly that is held against what the frames say: doubt at e times it. */
const USUAL = 0.5, PULL = 0.8;
/**
 * Depth spread inside the tiles (ladder units) at which only half of what the focus curves say is believed: spread widens the fine curves against the
 * coarse ones as a higher cutoff does, and on steep subjects the two cannot be told apart.
 */
const DOUBTFUL_SPREAD = 0.13;
/** What χ² of the spectrum counts against a percent of the ladder's cost, and from where on more of it says no more. On 24 rendered stacks of known lens. */
const SPECTRUM_SHARE = 0.7, MOST_MISFIT = 60;
/** A standard deviation off, doubt has risen by this much; and what the deviation of ln cutoff is at least and at most: on rendered stacks 0.16. */
const ONE_SIGMA = 1.5, LEAST_SIGMA = 0.14, MOST_SIGMA = 0.35;

/** Lens cutoff as the frames tell it. */
export interface FoundCutoff {
  /** Cycles per source pixel. */
  cutoff: number;
  /** Standard deviation of its logarithm. */
  sigmaLn: number;
}

/**
 * Finds the cutoff from two things that know nothing of each other: how much faster fine detail defocuses than coarse detail does (in the limit of coarse
 * pixels the widths of the focus curves are as the frequencies, near the cutoff they come closer together), for which the ladder is fitted at several
 * cutoffs; and where the spectrum of what is in focus ends.
 *
 * @param stack measured under any plan; its bands are kept, its noise is settled
 * @param startZ positions; in ladder units they hardly change with the cutoff
 * @param spectrum of what is in focus; null: not known
 * @returns with the fit at the nearest of the cutoffs tried, to start from
 */
export function findCutoff(stack: TileStack, usable: UsableTiles, startZ: Float64Array, spectrum: FocusSpectrum | null): FoundCutoff & { nearest: RefinedLadder } {
  const { plan } = stack, chosen = chosenTiles(stack, usable), rough = roughLadder(stack, usable, chosen, startZ), tile = flattestTiles(stack, usable, chosen, rough);
  const misfitAt = (x: number): number => (spectrum ? spectrumMisfit(spectrum, Math.exp(x)) : 0);
  const tryAt = (x: number, from: RefinedLadder): Tried => {
    const cutoff = Math.exp(x) * plan.bin, trial: TileStack = { ...stack, plan: { ...plan, cutoff }, noise: stack.noise.map((line) => line.slice()), noiseFloor: stack.noiseFloor.slice() };
    const fit = refineBy(trial, usable, tile, from, ROUNDS);
    return { x, misfit: misfitAt(x), fit };
  };
  const places = TRIED.map((share) => Math.log((share * plan.cutoff) / plan.bin)), fits = Math.min(...places.map(misfitAt));
  let tried = [tryAt(places[FIRST], rough)], low = FIRST, high = FIRST;
  const spread = median(tried[0].fit.state.spread[0]);
  let trials = doubts(tried, spread, fits), best = lowest(trials);
  // Each from its neighbour's fit, outwards on the side where nothing is clearly worse yet.
  for (;;) {
    const clear = best.cost + ONE_SIGMA, up = high < places.length - 1 && !trials.some(({ x, cost }) => x > best.x && cost > clear), down = low > 0 && !trials.some(({ x, cost }) => x < best.x && cost > clear);
    if (up) tried = [...tried, tryAt(places[++high], tried[tried.length - 1].fit)];
    else if (down) tried = [tryAt(places[--low], tried[0].fit), ...tried];
    else break;
    trials = doubts(tried, spread, fits);
    best = lowest(trials);
  }
  // Between the lowest and its neighbours, where a parabola through the three has its lowest point.
  const place = trials.indexOf(best);
  if (place > 0 && place < trials.length - 1) {
    const x = vertex(trials[place - 1], best, trials[place + 1]);
    if (Math.abs(x - best.x) > 0.02) {
      tried = [...tried, tryAt(x, tried[place].fit)].sort((a, b) => a.x - b.x);
      trials = doubts(tried, spread, fits);
      best = lowest(trials);
    }
  }
  return { cutoff: Math.exp(best.x), sigmaLn: Math.min(MOST_SIGMA, Math.max(LEAST_SIGMA, (reach(trials, best, 1) + reach(trials, best, -1)) / 2)), nearest: tried[trials.indexOf(best)].fit };
}

interface Tried { x: number; misfit: number; fit: RefinedLadder }

/** Percent of the ladder's cost above the least, as far as it can be believed, what the spectrum adds beyond its best fit, and what is unusual. */
function doubts(tried: readonly Tried[], spread: number, fits: number): Trial[] {
  const costs = commonCosts(tried), least = Math.min(...costs), believed = 1 / (1 + (spread / DOUBTFUL_SPREAD) ** 4);
  return tried.map(({ x, misfit }, i) => ({ x, cost: believed * 100 * (costs[i] / least - 1) + SPECTRUM_SHARE * Math.min(misfit - fits, MOST_MISFIT) + PULL * (x - Math.log(USUAL)) ** 2 }));
}

/**
 * What each fit leaves over, all by the same measure: the entries that every fit reached, by the least of their weights and the largest of their sigmas. Each fit's own
 * cost is by noise, trust and reach that it settled for itself, and jumps from cutoff to cutoff by more than the cutoffs differ.
 */
function commonCosts(tried: readonly Tried[]): number[] {
  const fits = tried.map(({ fit }) => fit.trace.entries!), costs = tried.map(() => 0);
  let total = 0;
  fits[0].residual.forEach((line, b) => {
    for (let i = 0; i < line.length; i++) {
      let weight = Infinity, sigma = 0;
      for (const fit of fits) { weight = Math.min(weight, fit.robust[b][i]); sigma = Math.max(sigma, fit.sigma[b][i]); }
      if (weight === 0) continue;
      total += weight;
      fits.forEach((fit, k) => { costs[k] += weight * robustLoss((fit.residual[b][i] * fit.sigma[b][i]) / sigma); });
    }
  });
  return costs.map((cost) => cost / Math.max(total, 1e-9));
}

/** Half the squared residual up to Huber's limit, straight on beyond. */
function robustLoss(r: number): number {
  const q = Math.abs(r);
  return q <= HUBER ? 0.5 * q * q : HUBER * (q - 0.5 * HUBER);
}

function lowest(trials: readonly Trial[]): Trial { return trials.reduce((a, b) => (b.cost < a.cost ? b : a)); }

/** Standard deviation by how doubt rises to one side: a parabola through the nearest trial that is off by so much. */
function reach(trials: readonly Trial[], best: Trial, side: 1 | -1): number {
  const off = trials.filter(({ x, cost }) => (x - best.x) * side > 0 && cost > best.cost + ONE_SIGMA).map(({ x, cost }) => ({ distance: Math.abs(x - best.x), rise: cost - best.cost }));
  if (off.length === 0) return MOST_SIGMA;
  const { distance, rise } = off.reduce((a, b) => (b.distance < a.distance ? b : a));
  return distance * Math.sqrt(ONE_SIGMA / rise);
}

interface Trial { x: number; cost: number }

function vertex(a: Trial, b: Trial, c: Trial): number {
  const left = (b.cost - a.cost) / (b.x - a.x), right = (c.cost - b.cost) / (c.x - b.x), bend = (right - left) / (c.x - a.x);
  return (a.x + b.x) / 2 - left / (2 * bend);
}

/** Of the tiles a solve would work on, those with least depth inside them. */
function flattestTiles(stack: TileStack, usable: UsableTiles, chosen: Int32Array, { curves, state }: RefinedLadder): Int32Array {
  const { gridRows, gridColumns } = stack, map = new Float64Array(gridRows * gridColumns).fill(NaN);
  depthsOfTiles(stack, curves, usable.usable, state.z).forEach((depth, i) => { map[usable.usable[i]] = depth; });
  const [spread] = seenDepths(map, gridRows, gridColumns, stack.plan, GRID_VARIANCE, chosen).spread;
  return Int32Array.from(Array.from(chosen, (_, i) => i).sort((a, b) => spread[a] - spread[b]).slice(0, TILES), (i) => chosen[i]).sort();
}
