import { BENCH_LENS, cutoffPerPixel, depthUnitUm, type Lens } from '../render/lens.js';
import { Random } from '../render/random.js';
import type { Pose } from '../render/scene.js';
import type { Sensor } from '../render/sensor.js';
import { gridFor, surfaceScene } from '../scene/build-scene.js';
import type { SurfaceKind } from '../scene/surface.js';
import { TEXTURE_KINDS, type TextureSpec } from '../scene/texture.js';
import { ladderOf } from './ladder-of.js';
import type { PlannedStack } from './planned-stack.js';

/** Common set-ups, all with pupil ratio 1 and 3.9 µm pixels. */
export const RIGS: readonly Pick<Lens, 'magnification' | 'fNumber'>[] = [
  { magnification: 5, fNumber: 2.8 }, { magnification: 2.5, fNumber: 4 }, { magnification: 1, fNumber: 8 },
  { magnification: 5, fNumber: 4 }, { magnification: 2.5, fNumber: 2.8 }, { magnification: 1, fNumber: 5.6 },
];

const PICTURE = { rows: 928, columns: 928 };
/** Where the lens out-resolves the pixels the grid is twice as fine: a wide picture keeps it at the same size. */
const WIDE_PICTURE = { rows: 448, columns: 928 };

/** What a seed decides about camera, light and texture. */
export function drawSetUp(seed: number): { lens: Lens; sensor: Sensor; texture: TextureSpec; picture: { rows: number; columns: number } } {
  const random = new Random(seed);
  const lens = { ...BENCH_LENS, ...RIGS[seed % RIGS.length] };
  const sensor: Sensor = {
    fullWellElectrons: random.pick([12_000, 25_000, 45_000, 60_000]), readNoiseElectrons: random.between(3, 8),
    mosaic: false, sharpening: 0, noiseReductionPx: 0, dust: null, channelGain: [1, random.between(0.85, 1), random.between(0.7, 0.95)],
  };
  const texture = { kind: TEXTURE_KINDS[Math.floor(seed / RIGS.length) % TEXTURE_KINDS.length], slope: random.between(0.8, 1.8), contrast: random.between(0.15, 0.4) };
  return { lens, sensor, texture, picture: cutoffPerPixel(lens) > 0.52 ? WIDE_PICTURE : PICTURE };
}

/** Poses of a rail that carries the camera: the picture grows as it comes nearer. */
export function railPoses(positions: number[], lens: Lens): Pose[] {
  const middle = (positions[0] + positions[positions.length - 1]) / 2;
  return positions.map((focus) => ({
    focus, scale: 1 + ((focus - middle) * depthUnitUm(lens)) / lens.pupilToSubjectUm, turnRad: 0, shiftPx: { row: 0, column: 0 }, shakePx: null,
  }));
}

/** A ladder with, two times in three, one or two gaps of 1.3 … 4 λ/NA². */
export function drawLadder(random: Random, frames: number): number[] {
  const gaps: Record<number, number> = {};
  const count = random.pick([0, 1, 1, 2]);
  for (let g = 0; g < count; g++) gaps[random.whole(3 + g * (frames >> 1), (frames >> 1) - 2 + g * ((frames >> 1) - 2))] = g === 0 ? random.between(1.3, 2.6) : random.between(1.3, 4);
  return ladderOf({ step: random.between(0.4, 0.8), scatter: 0.06, frames, gaps }, random);
}

/** A plain tripod stack of one surface, its ends covered. */
export function tripodStack(surface: SurfaceKind, seed: number, frames = 18): PlannedStack {
  const { lens, sensor, texture, picture } = drawSetUp(seed);
  const random = new Random(seed * 13 + 5);
  const positions = drawLadder(random, frames);
  const grid = gridFor(lens, picture);
  const scene = surfaceScene(grid, surface, positions[0] - random.between(0, 0.3), positions[frames - 1] + random.between(0, 0.3), texture, seed);
  return {
    name: `${surface}-${seed}`, lens, sensor, picture, scenes: [scene],
    frames: railPoses(positions, lens).map((pose) => ({ pose, scene: 0, gain: 1 })),
    jpeg: { quality: random.pick([90, 93, 95]), chromaSubsampling: random.pick(['4:2:0', '4:4:4'] as const) },
    noiseSeed: seed, faults: {}, opticsKnown: true,
  };
}
