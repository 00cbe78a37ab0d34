import { describe, expect, it } from 'vitest';
import { solveStack } from '../../src/pipeline/solve-stack.js';
import { cutoffPerPixel } from '../helpers/render/lens.js';
import { inProcessSource } from '../helpers/score/in-process-source.js';
import { planCase } from '../helpers/stack/all-cases.js';
import { cachedStack } from '../helpers/stack/cached-stack.js';

describe('unknown optics', () => {
  // Truth: the renderer's lens. On rendered planes, domes and shelves the cutoff was found within −23 … +9 %.
  it.each([['plane', 100], ['plane', 105]])('give the cutoff of %s %i within a third by the frames alone', async (name, seed) => {
    const { folder } = await cachedStack(name, seed);
    const solved = await solveStack(await inProcessSource(folder), { rig: {}, overlap: 0.3, outputWidthPx: null });
    const ratio = solved.cutoffFound!.cutoff / cutoffPerPixel(planCase(name, seed).lens);
    expect(ratio).toBeGreaterThan(0.75);
    expect(ratio).toBeLessThan(1.33);
  }, 240_000);
});
