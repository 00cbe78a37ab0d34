import path from 'node:path';
import { depthUnitUm, type Lens } from '../render/lens.js';
import { Random } from '../render/random.js';
import { gridFor, surfaceScene } from '../scene/build-scene.js';
import { stackOf } from './field-base.js';
import { drawSetUp } from './tripod-cases.js';
import { writeStack } from './write-stack.js';

const PICTURE = { rows: 448, columns: 640 };
const FRAMES = 16;

/** Moves of a nut between two faces: even commands, the first `slackUm` of them lost. */
function travelled(frames: number, stepUm: number, slackUm: number, scatterUm: number, random: Random): number[] {
  return Array.from({ length: frames }, (_, k) => Math.max(0, k * stepUm - slackUm) + (k * stepUm > slackUm ? scatterUm * Math.max(-2, Math.min(2, random.normal())) : 0));
}

/** Renders a flat, tilted target shot by a rail with slack at its start, into a folder below `parent`. Steps of 0.6 λ/NA² scattered by 3 %. */
export async function renderTarget(parent: string, seed: number, magnification: number, fNumber: number, slackUm: number): Promise<{ folder: string; lens: Lens; stepUm: number; tiltDeg: number }> {
  const drawn = drawSetUp(seed);
  const lens = { ...drawn.lens, magnification, fNumber, pupilRatio: 1 };
  const unit = depthUnitUm(lens);
  const stepUm = 0.6 * unit;
  const positions = travelled(FRAMES, stepUm, slackUm, 0.03 * stepUm, new Random(seed + 1)).map((um) => um / unit);
  const grid = gridFor(lens, PICTURE);
  const texture = { ...drawn.texture, contrast: 0.3 };
  const scene = surfaceScene(grid, 'plane', Math.min(...positions) - 0.2, Math.max(...positions) + 0.2, texture, seed);
  const stack = stackOf(`target-${magnification}-${seed}`, { lens, sensor: drawn.sensor, picture: PICTURE }, [scene], positions, seed);
  await writeStack(stack, parent);
  // Slope of the target in the middle of the grid, straight from the scene's depths.
  const depth = scene.groups[0]!.depth, middle = (scene.rows >> 1) * scene.columns + (scene.columns >> 1);
  const perPointUm = lens.pixelPitchUm / magnification / scene.oversample;
  const slope = Math.hypot(depth[middle + 8]! - depth[middle - 8]!, depth[middle + 8 * scene.columns]! - depth[middle - 8 * scene.columns]!) / 16 * unit / perPointUm;
  return { folder: path.join(parent, stack.name), lens, stepUm, tiltDeg: (Math.atan(slope) * 180) / Math.PI };
}
