import { Random } from '../render/random.js';
import { gridFor } from '../scene/build-scene.js';
import { ledgeScene } from '../scene/ledge-scene.js';
import { ladderOf } from './ladder-of.js';
import type { PlannedStack } from './planned-stack.js';
import { drawSetUp, railPoses } from './tripod-cases.js';

/** Shelves at three depths: one long step where nothing lies, one that a shelf runs through. */
export function ledgesStack(seed: number): PlannedStack {
  const { lens, sensor, texture, picture } = drawSetUp(seed);
  const random = new Random(seed * 13 + 5);
  const positions = ladderOf({ step: random.between(0.45, 0.7), scatter: 0.06, frames: 18, gaps: { 5: random.between(1.6, 2.6), 12: random.between(1.3, 2.6) } }, random);
  const [z5, z6, z10, last] = [positions[5], positions[6], positions[10], positions[17]];
  const scene = ledgeScene(gridFor(lens, picture), [
    { near: -0.2, far: z5 + 0.3, reach: 0.34 },
    { near: z6 - 0.3, far: z10 + 0.2, reach: 0.4 },
    { near: z10 - 0.5, far: last + 0.25, reach: 1 },
  ], texture, seed);
  return {
    name: `ledges-${seed}`, lens, sensor, picture, scenes: [scene], frames: railPoses(positions, lens).map((pose) => ({ pose, scene: 0, gain: 1 })),
    jpeg: { quality: random.pick([90, 93, 95]), chromaSubsampling: '4:4:4' }, noiseSeed: seed, faults: {}, opticsKnown: true,
  };
}
