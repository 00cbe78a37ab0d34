import { test } from 'vitest';
import { choleskyInverse } from '../../src/image/cholesky.js';
import { ladderUnit } from '../../src/ladder/ladder-unit.js';
import { positionScatter } from '../../src/ladder/position-scatter.js';
import { solveStack } from '../../src/pipeline/solve-stack.js';
import { cramerRaoBound } from '../helpers/score/cramer-rao.js';
import { quantile } from '../helpers/score/accuracy-table.js';
import { inProcessSource } from '../helpers/score/in-process-source.js';
import { CASES } from '../helpers/stack/all-cases.js';
import { cachedStack } from '../helpers/stack/cached-stack.js';

/** How far the steps' errors on rendered stacks are from the Cramér–Rao bound of the model. CASES=plane,dome SEEDS=100,101 narrow it down. */
test('distance from the Cramér–Rao bound', async () => {
  const { CASES: only, SEEDS } = process.env, option = (value: number) => ({ value, source: 'option' as const });
  const everything: Record<'error' | 'stated' | 'chance' | 'noise' | 'model', number>[] = [];
  for (const name of only?.split(',') ?? ['plane', 'dome', 'ridges', 'relief']) {
    const all: typeof everything = [];
    for (const seed of SEEDS?.split(',').map(Number) ?? CASES[name].seeds) {
      const { folder, truth } = await cachedStack(name, seed);
      const solved = await solveStack(await inProcessSource(folder), {
        rig: { magnification: option(truth.magnification!), fNumber: option(truth.fNumber!), pupilRatio: option(truth.pupilRatio!), pixelPitchUm: option(truth.pixelPitchUm) }, overlap: 0.3, outputWidthPx: null,
      });
      const { ladder, uncertainty, stack } = solved;
      if (!ladder || !uncertainty) continue;
      const { tiles, trace, freeGain, state } = ladder, { frames } = tiles, unit = ladderUnit(solved.plan), noise = cramerRaoBound(stack, ladder, 'noise'), model = cramerRaoBound(stack, ladder, 'stated');
      const moves = positionScatter(stack, tiles, trace, freeGain, choleskyInverse(trace.reduced, trace.unknowns));
      const of = (bound: Float64Array, a: number, b: number): number => Math.sqrt(bound[a * frames + a] + bound[b * frames + b] - 2 * bound[a * frames + b]) * unit;
      truth.stepsUm.forEach((stepUm, k) => {
        const a = truth.depthOrder[k], b = truth.depthOrder[k + 1], step = stepUm / truth.dofUm, between = uncertainty.between(a, b);
        // The steps that the accuracy table counts.
        if (between.tailsOnly || step < 0.15 || step > 3 || (between.sigma * unit) / step > 0.25) return;
        all.push({
          error: Math.abs(solved.axisSign * (state.z[b] - state.z[a]) * unit - step), stated: between.sigma * unit,
          chance: Math.sqrt(moves.reduce((sum, move) => sum + (move[a] - move[b]) ** 2, 0)) * unit, noise: of(noise, a, b), model: of(model, a, b),
        });
      });
    }
    say(name, all);
    everything.push(...all);
  }
  say('all', everything);

  function say(name: string, all: typeof everything): void {
    const middle = (pick: keyof (typeof all)[number]): number => quantile(all.map((one) => one[pick]), 0.5);
    // Half of a normal error lies within 0.6745 of its standard deviation.
    const error = middle('error') / 0.6745, thousandths = (value: number): string => (1000 * value).toFixed(1);
    console.log(`${name}: ${all.length} steps; medians in thousandths of λ/NA²: error ${thousandths(error)}, stated sigma ${thousandths(middle('stated'))}, of it chance ${thousandths(middle('chance'))}, `
      + `bound with the model's scatter ${thousandths(middle('model'))}, bound of the noise alone ${thousandths(middle('noise'))}; error ÷ bound ${(error / middle('model')).toFixed(1)} and ${(error / middle('noise')).toFixed(1)}`);
  }
});
