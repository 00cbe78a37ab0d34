import { orderAlong } from './order-along.js';
import { refineLadder } from './refine.js';
import { selectTiles } from './solve-tiles.js';
import { tilesAround, type SolvedLadder } from './solve-ladder.js';
import { median } from './statistics.js';
import type { TileStack } from './tile-stack.js';

/** Tried first, cycles per source pixel: from f/11 at 5× on fine pixels to a wide-open lens on a picture made four times smaller. */
const TRIED = [0.2, 0.3, 0.42, 0.6, 0.9, 1.35, 2] as const;
const TILES = 700;
/** What most lenses and pictures give, and how weakly that is held against what the frames say: the cost rises by this share at e times it. */
const USUAL = 0.5, PULL = 0.008;

/** Lens cutoff as the frames tell it. */
export interface FoundCutoff {
  /** Cycles per source pixel. */
  cutoff: number;
  /** The range within which the fit is hardly worse, a factor on either side; at least 1. */
  within: number;
}

/**
 * Depth spread inside the tiles (ladder units) and range of ln cutoff at which only half of what is found is believed: spread widens the fine
 * curves against the coarse ones as a higher cutoff does, and on steep subjects the two cannot be told apart.
 */
const DOUBTFUL_SPREAD = 0.13, DOUBTFUL_RANGE = 0.7;
/** The fit is called hardly worse up to this share of its lowest cost. */
const HARDLY_WORSE = 0.02;

/**
 * Finds the cutoff from how much faster fine detail defocuses than coarse detail does: in the limit of coarse pixels the widths of the focus
 * curves are as the frequencies, near the cutoff they come closer together. The ladder is fitted at several cutoffs; the lowest cost wins.
 *
 * @param stack measured under any plan; its bands are kept, its noise is not changed
 * @param ladder solved at some cutoff; in ladder units its positions hardly change with the cutoff
 */
export function findCutoff(stack: TileStack, ladder: SolvedLadder): FoundCutoff {
  const some = flattestTiles(ladder), tile = Int32Array.from(some, (i) => ladder.tiles.tile[i]).sort(), { z } = ladder.state;
  const around = tilesAround(stack, tile, ladder.usable.usable);
  const order = orderAlong(z);
  const costAt = (cutoff: number): number => {
    const trial: TileStack = { ...stack, plan: { ...stack.plan, cutoff: cutoff * stack.plan.bin }, noise: stack.noise.map((line) => line.slice()), noiseFloor: stack.noiseFloor.slice() };
    const { trace } = refineLadder(trial, selectTiles(trial, tile), z.slice(), order, around);
    return trace.cost * (1 + PULL * Math.log(cutoff / USUAL) ** 2);
  };
  const tried = TRIED.map((cutoff) => ({ x: Math.log(cutoff), cost: costAt(cutoff) }));
  let best = tried.reduce((a, b) => (b.cost < a.cost ? b : a));
  // Between the lowest and its neighbours, where a parabola through the three has its lowest point.
  const place = tried.indexOf(best);
  if (place > 0 && place < tried.length - 1) {
    const x = vertex(tried[place - 1], best, tried[place + 1]), refined = { x, cost: costAt(Math.exp(x)) };
    if (refined.cost < best.cost) best = refined;
  }
  const near = tried.filter((trial) => trial.cost < best.cost * (1 + HARDLY_WORSE)).map((trial) => Math.abs(trial.x - best.x));
  const within = Math.max(0, ...near), spread = median(some.map((i) => ladder.state.spread[0][i]));
  const believed = 1 / (1 + (spread / DOUBTFUL_SPREAD) ** 4) / (1 + (within / DOUBTFUL_RANGE) ** 2);
  return { cutoff: USUAL * Math.exp(believed * (best.x - Math.log(USUAL))), within: Math.exp(within) };
}

interface Trial { x: number; cost: number }

function vertex(a: Trial, b: Trial, c: Trial): number {
  const left = (b.cost - a.cost) / (b.x - a.x), right = (c.cost - b.cost) / (c.x - b.x), bend = (right - left) / (c.x - a.x);
  return (a.x + b.x) / 2 - left / (2 * bend);
}

/** Numbers of the solve's tiles with least depth inside them. */
function flattestTiles({ tiles, state }: SolvedLadder): number[] {
  return Array.from(tiles.tile, (_, i) => i).sort((a, b) => state.spread[0][a] - state.spread[0][b]).slice(0, TILES);
}
