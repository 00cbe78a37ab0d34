import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import type { RailReport } from '../../src/contract/rail.js';
import { analyseRail } from '../../src/diagnosis/rail-analysis.js';
import { openFolder } from '../../src/io/open-folder.js';
import { analyse } from '../../src/pipeline/analyse.js';
import { renderScrewTarget, type ScrewError } from '../helpers/rail/screw-target.js';

// Rendered pictures of a flat, tilted target; amplitude, period and phase are the renderer's own. A minute of rendering a target: one of each kind.

let parent: string;
beforeAll(async () => { parent = await mkdtemp(path.join(tmpdir(), 'rungwise-screw-')); });
afterAll(() => rm(parent, { recursive: true, force: true }));

async function railOf(seed: number, error: ScrewError): Promise<RailReport> {
  const { folder, pixelPitchUm } = await renderScrewTarget(parent, seed, error);
  const option = (value: number) => ({ value, source: 'option' as const });
  const rig = { magnification: option(2.5), fNumber: option(4), pupilRatio: option(1), pixelPitchUm: option(pixelPitchUm) };
  return analyseRail(await analyse(await openFolder(folder), { rig, overlap: 0.3, outputWidthPx: null }), { commandedUm: null, unitsPerFrame: null, tiltDeg: null });
}

it.each([{ seed: 51, amplitudeUm: 5, periodUm: 250, phaseDeg: 40 }])('a screw that errs by $amplitudeUm µm every $periodUm µm is found, with its phase', async ({ seed, ...error }) => {
  const { periodic, frames } = await railOf(seed, error);
  expect(frames).toBe(40);
  // Sines fitted to n points of noise σ: amplitude to σ √(2/n), phase to that over the amplitude, frequency to √6 / π / (span √n) of it
  // (Cramér–Rao bound, Rife & Boorstyn 1974). Here σ is 1 µm of scatter and about 1 µm of measurement: 0.3 µm, 7° (at the ends of the run the
  // frequency's error doubles it), 1 %; three of each.
  expect(Math.abs(periodic!.amplitudeUm - error.amplitudeUm)).toBeLessThan(1);
  expect(Math.abs(periodic!.periodUm / error.periodUm - 1)).toBeLessThan(0.03);
  expect(Math.abs(((periodic!.phaseDeg - error.phaseDeg + 540) % 360) - 180)).toBeLessThan(25);
});

it.each([53])('none is made up where the screw is true (target %i)', async (seed) => {
  expect((await railOf(seed, { amplitudeUm: 0, periodUm: 250, phaseDeg: 0 })).periodic).toBeNull();
});
