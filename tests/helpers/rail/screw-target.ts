import path from 'node:path';
import { depthUnitUm } from '../render/lens.js';
import { Random } from '../render/random.js';
import { gridFor, surfaceScene } from '../scene/build-scene.js';
import { stackOf } from '../stack/field-base.js';
import { drawSetUp } from '../stack/tripod-cases.js';
import { writeStack } from '../stack/write-stack.js';

const PICTURE = { rows: 320, columns: 640 };
const FRAMES = 40;
/** A target shot by a rail whose screw has this regular error; amplitude 0: a true screw. */
export interface ScrewError { amplitudeUm: number; periodUm: number; phaseDeg: number }

/**
 * Renders a flat, tilted target at 2.5× f/4, shot in 40 steps that scatter by 1 µm, into a folder below `parent`. With a screw of 0.25 mm a
 * turn (a common fine thread, no source) that is four turns.
 */
export async function renderScrewTarget(parent: string, seed: number, error: ScrewError): Promise<{ folder: string; pixelPitchUm: number; stepUm: number }> {
  const drawn = drawSetUp(seed);
  const lens = { ...drawn.lens, magnification: 2.5, fNumber: 4, pupilRatio: 1 };
  const unit = depthUnitUm(lens), stepUm = 0.4 * unit, random = new Random(seed + 1);
  const positions = Array.from({ length: FRAMES }, (_, k) => (k * stepUm + error.amplitudeUm * Math.sin((2 * Math.PI * k * stepUm) / error.periodUm + (error.phaseDeg * Math.PI) / 180) + random.normal()) / unit);
  const scene = surfaceScene(gridFor(lens, PICTURE), 'plane', Math.min(...positions) - 0.2, Math.max(...positions) + 0.2, { ...drawn.texture, contrast: 0.3 }, seed);
  const stack = stackOf(`screw-${error.amplitudeUm}-${seed}`, { lens, sensor: drawn.sensor, picture: PICTURE }, [scene], positions, seed);
  await writeStack(stack, parent);
  return { folder: path.join(parent, stack.name), pixelPitchUm: lens.pixelPitchUm, stepUm };
}
