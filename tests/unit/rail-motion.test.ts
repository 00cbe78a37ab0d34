import { describe, expect, it } from 'vitest';
import { railDrift } from '../../src/diagnosis/rail-drift.js';
import { fitRail } from '../../src/diagnosis/rail-fit.js';
import { railPeriodic } from '../../src/diagnosis/rail-periodic.js';
import { playTravel } from '../../src/diagnosis/rail-play.js';
import { railTurns } from '../../src/diagnosis/rail-turns.js';
import { Random } from '../helpers/render/random.js';

// Positions are made here by hand or by a slider between two stops, independent of the model that is fitted.

/** A nut that a screw pushes by either of two faces `slack` apart; the screw starts `free` short of the first. */
function slider(moves: readonly number[], free: number, slack: number): number[] {
  let screw = 0, nut = 0, low = -free, high = slack - free; // nut may lie where screw + [low … high] holds it
  return [0, ...moves].map((move) => {
    screw += move;
    nut = Math.min(Math.max(nut, screw + low), screw + high);
    if (free > slack) { low = -free; high = 0; }
    return nut;
  });
}

const repeat = (move: number, times: number): number[] => new Array<number>(times).fill(move);

describe('play between screw and carriage', () => {
  it('stands still while slack is taken up, at the start and at the turn', () => {
    // By hand: 2.5 frames free, then whole steps; after the turn 1.5 frames free.
    expect(playTravel([0, 1, 2, 3, 4, 3, 2, 1], 2.5, 1.5)).toEqual([0, 0, 0, 0.5, 1.5, 1.5, 1, 0]);
    expect(playTravel([0, -1, -2, -1, 0], 0, 0.5)).toEqual([0, -1, -2, -1.5, -0.5]);
  });
  it('agrees with a nut between two faces', () => {
    const random = new Random(3);
    for (let run = 0; run < 20; run++) {
      const slack = random.between(0.5, 3), free = random.between(0, slack);
      const moves = [...repeat(1, 6), ...repeat(-1, 9), ...repeat(1, 7)];
      const screw = [0]; for (const move of moves) screw.push(screw[screw.length - 1] + move);
      const ours = playTravel(screw, free, slack), theirs = slider(moves, free, slack);
      ours.forEach((at, k) => expect(at).toBeCloseTo(theirs[k], 9));
    }
  });
});

describe('a rail’s motion', () => {
  /** 24 frames: 14 one way, 10 back; step 14.7, slack 33 at the turn, 21 at the start, a hand that scatters by 0.4. */
  const made = (seed: number, extra: (k: number) => number = () => 0): number[] => {
    const random = new Random(seed);
    return slider([...repeat(14.7, 13), ...repeat(-14.7, 10)], 21, 33).map((at, k) => at + 0.4 * random.normal() + extra(k));
  };
  it('finds step and slack within what the scatter allows', () => {
    let worstStep = 0, worstTurn = 0, worstStart = 0, outside = 0;
    for (let seed = 1; seed <= 30; seed++) {
      const fit = fitRail(made(seed))!;
      worstStep = Math.max(worstStep, Math.abs(fit.step / 14.7 - 1));
      worstTurn = Math.max(worstTurn, Math.abs(fit.turnSlack! - 33));
      worstStart = Math.max(worstStart, Math.abs(fit.startSlack - 21));
      if (Math.abs(fit.turnSlack! - 33) > 2 * fit.turnSlackSigma!) outside++;
    }
    // Issue 6: step within 2 %, slack within 3 µm.
    expect(worstStep).toBeLessThan(0.02);
    expect(worstTurn).toBeLessThan(3);
    expect(worstStart).toBeLessThan(3);
    // Two sigma: one in twenty outside; five of thirty happen by chance once in fifty (binomial).
    expect(outside).toBeLessThanOrEqual(5);
  });
  it('is not fooled by a slip, and says where it was', () => {
    const fit = fitRail(made(4, (k) => (k >= 8 ? 40 : 0)))!;
    expect(Math.abs(fit.step / 14.7 - 1)).toBeLessThan(0.02);
    expect(fit.slips.map(({ after }) => after)).toEqual([7]);
    expect(Math.abs(fit.slips[0].length - 40)).toBeLessThan(3);
  });
  it('sees no slack and no slip where there are none', () => {
    const random = new Random(8);
    const fit = fitRail(Array.from({ length: 20 }, (_, k) => -20 * k + 0.5 * random.normal()))!;
    expect(fit.step).toBeCloseTo(-20, 0);
    expect(fit.startSlack).toBeLessThan(1.5);
    expect(fit.turnSlack).toBeNull();
    expect(fit.slips).toEqual([]);
  });
  it('says nothing of a rail that did not move', () => { expect(fitRail([3, 3, 3, 3, 3, 3])).toBeNull(); });
  it('finds where it turned, noise or not', () => {
    expect(railTurns([0, 10, 20, 30, 29, 31, 20, 10, 0], 25)).toEqual([5]);
    expect(railTurns([0, 1, -1, 10, 20, 30], 25)).toEqual([]);
  });
});

describe('drift and regular errors', () => {
  const travel = Array.from({ length: 40 }, (_, k) => k);
  it('measures steps that grow by 6 %', () => {
    // Step k is 10 (1 + 0.06 (k/39 − 1/2)): positions are its sum.
    let at = 0;
    const position = travel.map((k) => { const here = at; at += 10 * (1 + 0.06 * ((k + 0.5) / 39 - 0.5)); return here; });
    const drift = railDrift(travel, position)!;
    expect(drift.drift).toBeCloseTo(0.06, 3);
  });
  it('finds a screw’s error by period and amplitude', () => {
    const random = new Random(5);
    const found = railPeriodic(travel, travel.map((k) => 1.5 * Math.sin((2 * Math.PI * k) / 6.5 + 0.7) + 0.5 * random.normal()))!;
    expect(found.period).toBeCloseTo(6.5, 0);
    expect(Math.abs(found.amplitude - 1.5)).toBeLessThan(0.35); // 3 σ √(2/40)
  });
  it('finds none in scatter: at most one in fifty, by its one per cent', () => {
    let found = 0;
    for (let seed = 1; seed <= 50; seed++) { const random = new Random(seed); if (railPeriodic(travel, travel.map(() => random.normal()))) found++; }
    expect(found).toBeLessThanOrEqual(2);
  });
  it('finds none in a rail that wanders', () => {
    let found = 0;
    for (let seed = 1; seed <= 50; seed++) {
      const random = new Random(seed);
      let at = 0;
      const walk = travel.map(() => (at += random.normal()));
      const slope = (walk[39] - walk[0]) / 39;
      if (railPeriodic(travel, walk.map((v, k) => v - slope * k))) found++;
    }
    expect(found).toBeLessThanOrEqual(4);
  });
  it('says nothing from a dozen frames', () => { expect(railPeriodic(travel.slice(0, 12), travel.slice(0, 12).map((k) => Math.sin(k)))).toBeNull(); });
});
