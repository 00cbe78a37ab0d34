import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { test } from 'vitest';
import { analyseRail } from '../../src/diagnosis/rail-analysis.js';
import { openFolder } from '../../src/io/open-folder.js';
import { analyse } from '../../src/pipeline/analyse.js';
import { renderTarget } from '../helpers/stack/rail-target-stack.js';

/** SEEDS=30 FROM=0: step and slack of rendered rails at 2.5× and 5×, against the renderer's own, one line a stack. */
test('rail accuracy', async () => {
  const { SEEDS = '30', FROM = '0' } = process.env;
  const parent = await mkdtemp(path.join(tmpdir(), 'rungwise-rails-'));
  for (let seed = Number(FROM); seed < Number(FROM) + Number(SEEDS); seed++) for (const [magnification, fNumber] of [[2.5, 4], [5, 2.8]] as const) {
    const slackUm = 5 + ((seed * 37) % 50);
    const { folder, lens, stepUm, tiltDeg } = await renderTarget(parent, seed, magnification, fNumber, slackUm);
    const option = (value: number) => ({ value, source: 'option' as const });
    const report = await analyse(await openFolder(folder), { rig: { magnification: option(magnification), fNumber: option(fNumber), pupilRatio: option(1), pixelPitchUm: option(lens.pixelPitchUm) }, overlap: 0.3, outputWidthPx: null });
    const say = (tilt: number | null): string => {
      const rail = analyseRail(report, { commandedUm: null, unitsPerFrame: null, tiltDeg: tilt });
      return rail.measuredUm === null ? 'cannot tell' : `step ${(100 * (rail.measuredUm / stepUm - 1)).toFixed(2)} %, slack ${((rail.slackUm ?? NaN) - slackUm).toFixed(2)} µm`;
    };
    console.log(`${magnification}× seed ${seed}, step ${stepUm.toFixed(1)}, slack ${slackUm}, tilt ${tiltDeg.toFixed(1)}°: by optics ${say(null)}; by tilt ${say(tiltDeg)}`);
    await rm(folder, { recursive: true });
  }
  await rm(parent, { recursive: true });
}, 3_600_000);
