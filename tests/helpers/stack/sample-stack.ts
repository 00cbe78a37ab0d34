import { BENCH_LENS, depthUnitUm } from '../render/lens.js';
import { quartzDruse } from '../scene/quartz-druse.js';
import { gridFor } from '../scene/build-scene.js';
import type { PlannedStack } from './planned-stack.js';
import { railPoses } from './tripod-cases.js';

/** Steps of about 0.6: nothing lies in the long step after the sixth frame, a band of crystals does in the one after the eleventh. */
const STEPS = [0.60, 0.59, 0.61, 0.60, 0.60, 1.80, 0.61, 0.60, 0.59, 0.60, 1.90, 0.60, 0.61, 0.59, 0.60, 0.60, 0.61, 0.59, 0.60];
const FIRST_FOCUS = 0.2;

/**
 * The sample: a druse at 5×, f/2.8, twenty frames of 1500 × 1000.
 * @param share 1 = as shipped; smaller pictures of the middle serve quick tests
 */
export function sampleStack(share = 1, frames = STEPS.length + 1): PlannedStack {
  const lens = BENCH_LENS;
  const picture = { rows: Math.round(1000 * share), columns: Math.round(1500 * share) };
  const grid = share === 1 ? { rows: 1024, columns: 2048 } : gridFor(lens, picture);
  const positions = [FIRST_FOCUS];
  for (const step of STEPS.slice(0, frames - 1)) positions.push(positions[positions.length - 1] + step);
  const depthUnitPx = (depthUnitUm(lens) * lens.magnification) / lens.pixelPitchUm;
  return {
    name: 'quartz-druse', lens, picture,
    sensor: { fullWellElectrons: 45_000, readNoiseElectrons: 4, mosaic: false, sharpening: 0, noiseReductionPx: 0, dust: null, channelGain: [1, 1, 1] },
    scenes: [quartzDruse(grid.rows, grid.columns, depthUnitPx, 7)],
    frames: railPoses(positions, lens).map((pose) => ({ pose, scene: 0, gain: 0.72 })),
    jpeg: { quality: 92, chromaSubsampling: '4:2:0' }, noiseSeed: 20261003, faults: {}, opticsKnown: true,
  };
}
