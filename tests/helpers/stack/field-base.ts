import type { Lens } from '../render/lens.js';
import { Random } from '../render/random.js';
import type { Scene } from '../render/scene.js';
import { gridFor, surfaceScene, type Grid } from '../scene/build-scene.js';
import type { SurfaceKind } from '../scene/surface.js';
import type { TextureSpec } from '../scene/texture.js';
import { ladderOf } from './ladder-of.js';
import type { PlannedStack } from './planned-stack.js';
import { drawSetUp, railPoses } from './tripod-cases.js';

/** What a case of the field table starts from, before something is done to it. */
export interface FieldBase {
  name: string;
  seed: number;
  frames?: number;
  step?: number;
  gaps?: Record<number, number>;
  surface?: SurfaceKind;
  /** How far the surface reaches beyond the first and the last frame, λ/NA²; the first is negative towards the camera. */
  beyond?: [number, number];
  picture?: { rows: number; columns: number };
  lens?: Partial<Lens>;
  texture?: Partial<TextureSpec>;
}

export interface FieldStack { stack: PlannedStack; positions: number[]; grid: Grid; random: Random; texture: TextureSpec }

const SURFACES: readonly SurfaceKind[] = ['relief', 'dome', 'plane'];

/** A healthy tripod stack; every second one has a gap. */
export function fieldBase(base: FieldBase): FieldStack {
  const drawn = drawSetUp(base.seed);
  const random = new Random(base.seed * 17 + 11);
  const lens = { ...drawn.lens, ...base.lens }, texture = { ...drawn.texture, ...base.texture };
  const picture = base.picture ?? drawn.picture;
  const frames = base.frames ?? 18;
  const gaps = base.gaps ?? (base.seed % 2 ? { [Math.floor(frames * 0.55)]: random.between(1.5, 2.4) } : {});
  const positions = ladderOf({ step: base.step ?? random.between(0.5, 0.7), scatter: 0.06, frames, gaps }, random);
  const grid = gridFor(lens, picture);
  const [before, after] = base.beyond ?? [-0.15, 0.15];
  const scene = surfaceScene(grid, base.surface ?? SURFACES[base.seed % SURFACES.length], positions[0] + before, positions[frames - 1] + after, texture, base.seed);
  const stack = stackOf(`${base.name}-${base.seed}`, { ...drawn, lens, picture }, [scene], positions, base.seed);
  return { stack, positions, grid, random, texture };
}

export function stackOf(name: string, setUp: Pick<PlannedStack, 'lens' | 'sensor' | 'picture'>, scenes: Scene[], positions: number[], seed: number): PlannedStack {
  return {
    name, lens: setUp.lens, sensor: setUp.sensor, picture: setUp.picture, scenes,
    frames: railPoses(positions, setUp.lens).map((pose) => ({ pose, scene: 0, gain: 1 })),
    jpeg: { quality: 93, chromaSubsampling: '4:2:0' }, noiseSeed: seed, faults: {}, opticsKnown: true,
  };
}
