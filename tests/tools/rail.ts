import { test } from 'vitest';
import { analyseRail } from '../../src/diagnosis/rail-analysis.js';
import { openFolder } from '../../src/io/open-folder.js';
import { startKernels } from '../../src/io/start-kernels.js';
import { analyse } from '../../src/pipeline/analyse.js';
import { cachedTarget } from '../helpers/rail/cached-target.js';
import { railTable, type RailScore } from '../helpers/rail/rail-table.js';

/** Step and slack of rendered rails at 2.5× and 5× against the renderer's own. SEEDS=30 FROM=0 narrow it down, RENDER=1 only renders. */
test('rail accuracy', async () => {
  await startKernels();
  const { SEEDS = '30', FROM = '0', RENDER } = process.env;
  const scores: RailScore[] = [];
  for (let seed = Number(FROM); seed < Number(FROM) + Number(SEEDS); seed++) for (const [magnification, fNumber] of [[2.5, 4], [5, 2.8]] as const) {
    const { folder, pixelPitchUm, stepUm, slackUm, tiltDeg } = await cachedTarget(seed, magnification, fNumber);
    if (RENDER) continue;
    const option = (value: number) => ({ value, source: 'option' as const });
    const report = await analyse(await openFolder(folder), { rig: { magnification: option(magnification), fNumber: option(fNumber), pupilRatio: option(1), pixelPitchUm: option(pixelPitchUm) }, overlap: 0.3, outputWidthPx: null });
    for (const scale of ['optics', 'tilt'] as const) {
      const rail = analyseRail(report, { commandedUm: null, unitsPerFrame: null, tiltDeg: scale === 'tilt' ? tiltDeg : null });
      const told = rail.measuredUm !== null && rail.slackUm !== null;
      const score = { magnification, scale, seed, stepError: told ? rail.measuredUm! / stepUm - 1 : null, slackErrorUm: told ? rail.slackUm! - slackUm : null };
      scores.push(score);
      console.log(`${magnification}× seed ${seed}, step ${stepUm.toFixed(1)} µm, slack ${slackUm} µm, tilt ${tiltDeg.toFixed(1)}°, by ${scale}: ${told ? `step ${(100 * score.stepError!).toFixed(2)} %, slack ${score.slackErrorUm!.toFixed(2)} µm` : 'cannot tell'}`);
    }
  }
  if (scores.length) console.log(`\n${railTable(scores)}`);
}, 14_400_000);
