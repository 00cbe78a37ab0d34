import { median, robustSpread } from '../ladder/statistics.js';
import { fitLinear, huberWeights, type LinearFit } from './fit-lines.js';
import { playTravel } from './rail-play.js';
import { railTurns, screwPositions } from './rail-turns.js';

/** A rail's motion as fitted; lengths in the unit of the positions, slack too. */
export interface RailFit {
  /** Way per frame, signed along the position axis. */
  step: number;
  stepSigma: number;
  startSlack: number;
  startSlackSigma: number;
  /** Null where the stack never turns back. */
  turnSlack: number | null;
  turnSlackSigma: number | null;
  turns: number[];
  /** Frames' worth of screw, and the carriage's way behind it, without slips. */
  screw: number[];
  travel: number[];
  /** Positions by the model, slips included; and what is left. */
  expected: number[];
  residual: number[];
  slips: { after: number; length: number }[];
}

const ROUNDS = 3;
/** Slack is looked for up to this many frames' worth of way. */
const MOST_SLACK_FRAMES = 12;
/** A single step this far out, in robust deviations of the steps and in steps, is a slip and no scatter. */
const SLIP_DEVIATIONS = 6;
const SLIP_STEPS = 0.3;
/** How far from the outermost frame a turn may be, frames: several stand there while the slack is taken up. */
const TURN_SEARCH = 4;

/**
 * Fits equal steps with slack at the start and at turns to positions in the order the frames were shot.
 *
 * @param position 5 or more, any unit
 * @param shot moves of the rail before each, from 0
 * @returns null where there is no motion to fit
 */
export function fitRail(position: readonly number[], shot: readonly number[] = position.map((_, k) => k)): RailFit | null {
  const usual = median(position.slice(1).map((p, i) => Math.abs(p - position[i])));
  if (!(usual > 0)) return null;
  let turns = railTurns(position, 2.5 * usual);
  const weights = position.map(() => 1);
  let level = position.slice(), slips: RailFit['slips'] = [], best: Tried | null = null;
  for (let round = 0; round < ROUNDS; round++) {
    turns = settleTurns(level, shot, turns, weights);
    best = search(level, screwPositions(shot, turns), weights, turns.length > 0);
    if (!best) return null;
    slips = findSlips(position, best);
    level = position.map((p, k) => p - slipBefore(slips, k));
    huberWeights(best.fit.residual).forEach((w, k) => { weights[k] = w; });
  }
  best = search(level, screwPositions(shot, turns), weights, turns.length > 0);
  return best && describe(position, turns, slips, weights, best);
}

interface Tried { startSlack: number; turnSlack: number; travel: number[]; screw: number[]; fit: LinearFit }

function tryOne(level: readonly number[], screw: readonly number[], weights: readonly number[], startSlack: number, turnSlack: number): Tried | null {
  const travel = playTravel(screw, startSlack, turnSlack);
  const fit = fitLinear([level.map(() => 1), travel], level, weights);
  return fit && { startSlack, turnSlack, travel, screw: screw.slice(), fit };
}

/** Grid, then ever finer neighbours: the cost has a kink at every whole frame, so no derivative is used. */
function search(level: readonly number[], screw: readonly number[], weights: readonly number[], turned: boolean): Tried | null {
  const most = Math.min(MOST_SLACK_FRAMES, level.length / 2);
  let best: Tried | null = null;
  const offer = (startSlack: number, turnSlack: number): void => {
    if (startSlack < 0 || turnSlack < 0 || startSlack > most || turnSlack > most) return;
    const tried = tryOne(level, screw, weights, startSlack, turnSlack);
    if (tried && (!best || tried.fit.cost < best.fit.cost)) best = tried;
  };
  for (let a = 0; a <= most; a += 0.5) for (let b = 0; b <= (turned ? most : 0); b += 0.5) offer(a, b);
  for (let grain = 0.25; grain > 0.002; grain /= 2) {
    const from = best as Tried | null;
    if (!from) return null;
    for (const a of [-1, 0, 1]) for (const b of turned ? [-1, 0, 1] : [0]) offer(from.startSlack + a * grain, from.turnSlack + b * grain);
  }
  return best;
}

/** The frame before a turn is not simply the outermost one: while slack is taken up, several stand at the same place. */
function settleTurns(level: readonly number[], shot: readonly number[], turns: readonly number[], weights: readonly number[]): number[] {
  const settled = turns.slice();
  settled.forEach((turn, i) => {
    let least = Infinity;
    for (let at = Math.max(1, turn - TURN_SEARCH); at <= Math.min(level.length - 2, turn + TURN_SEARCH); at++) {
      const some = settled.slice();
      some[i] = at;
      if (some.some((v, j) => j > 0 && v <= some[j - 1])) continue;
      const cost = search(level, screwPositions(shot, some), weights, true)?.fit.cost ?? Infinity;
      if (cost < least) { least = cost; settled[i] = at; }
    }
  });
  return settled;
}

function findSlips(position: readonly number[], { travel, fit }: Tried): RailFit['slips'] {
  const [, step] = fit.coefficients;
  const excess = position.slice(1).map((p, k) => p - position[k] - step * (travel[k + 1] - travel[k]));
  const limit = Math.max(SLIP_DEVIATIONS * robustSpread(excess), SLIP_STEPS * Math.abs(step));
  return excess.flatMap((length, after) => (Math.abs(length) > limit && travel[after + 1] !== travel[after] ? [{ after, length }] : []));
}

const slipBefore = (slips: RailFit['slips'], k: number): number => slips.reduce((sum, slip) => sum + (slip.after < k ? slip.length : 0), 0);

function describe(position: readonly number[], turns: number[], slips: RailFit['slips'], weights: readonly number[], best: Tried): RailFit {
  const { fit, startSlack, turnSlack, travel, screw } = best;
  const [zero, step] = fit.coefficients, n = position.length;
  const level = position.map((p, k) => p - slipBefore(slips, k));
  const free = Math.max(1, n - 3 - (turns.length > 0 ? 1 : 0));
  const variance = fit.cost / free;
  const slackSigma = (a: number, b: number): number => {
    // Curvature of the cost along one slack, step and zero fitted anew, over half a frame to either side.
    const h = 0.5, near = best.fit.cost;
    const up = tryOne(level, screw, weights, startSlack + a * h, turnSlack + b * h)?.fit.cost ?? near;
    return Math.abs(step) * Math.sqrt((variance * h * h) / Math.max(up - near, 1e-12));
  };
  return {
    step, stepSigma: Math.sqrt(variance * fit.inverse[1][1]), startSlack: startSlack * Math.abs(step), startSlackSigma: slackSigma(1, 0),
    turnSlack: turns.length > 0 ? turnSlack * Math.abs(step) : null, turnSlackSigma: turns.length > 0 ? slackSigma(0, 1) : null,
    turns, screw, travel, slips,
    expected: travel.map((u, k) => zero + step * u + slipBefore(slips, k)), residual: fit.residual,
  };
}
