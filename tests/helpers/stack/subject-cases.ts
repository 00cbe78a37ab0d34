import type { Random } from '../render/random.js';
import type { Scene, SurfaceGroup } from '../render/scene.js';
import { addNeedles } from '../scene/needles.js';
import { addGlints } from '../scene/glints.js';
import { patchCover } from '../scene/patch-cover.js';
import { spectralNoise } from '../scene/spectral-noise.js';
import { textureLight } from '../scene/texture.js';
import { fieldBase } from './field-base.js';
import type { PlannedStack } from './planned-stack.js';

// What the subject does to a stack: one function a case.

/** Needles standing in front of the surface, sloping through the ladder. */
export function hairs(seed: number): PlannedStack {
  const { stack, positions, grid, random } = fieldBase({ name: 'hairs', seed });
  addNeedles(stack.scenes[0], 70, positions[0] + 0.5, positions[positions.length - 1] * 0.6, grid.oversample, random);
  return stack;
}

/** Saturated specks: their blur discs are large and cross many tiles. */
export function glints(seed: number): PlannedStack {
  const { stack, grid, random } = fieldBase({ name: 'glints', seed });
  addGlints(stack.scenes[0], 160, grid.oversample, random);
  return stack;
}

/** The subject covers a third of the picture; behind it dark ground, far out of reach. */
export function darkGround(seed: number): PlannedStack {
  const { stack, positions, grid, random } = fieldBase({ name: 'dark-ground', seed, gaps: seed % 2 ? { 9: 2 } : {} });
  const scene = stack.scenes[0], subject = scene.groups[0];
  subject.cover = patchCover(grid, 0.34, random);
  const size = scene.rows * scene.columns;
  const dim = spectralNoise(scene.rows, scene.columns, 1.5, random, 4).map((v) => 0.012 * Math.exp(0.4 * Math.max(-2, Math.min(2, v))));
  // The subject's own depths run over the whole grid: stretch them so that the covered part spans the ladder.
  stretchInside(subject, positions[0] - 0.1, positions[positions.length - 1] + 0.1);
  scene.groups.push({ depth: new Float32Array(size).fill(positions[positions.length - 1] + random.between(40, 70)), light: [dim], cover: null });
  return stack;
}

/** A half-transparent sheet over part of the picture: two depths in one place. */
export function translucent(seed: number): PlannedStack {
  const { stack, positions, grid, random, texture } = fieldBase({ name: 'translucent', seed, gaps: {} });
  const scene = stack.scenes[0];
  const cover = patchCover(grid, 0.15, random).map((v) => 0.55 * v);
  const depth = scene.groups[0].depth.map((d) => Math.max(positions[0] - 0.1, d - 2.5));
  scene.groups.unshift({ depth, light: [textureLight(texture, scene.rows, scene.columns, grid.oversample, random)], cover });
  return stack;
}

/** From one frame on a patch of the subject stands elsewhere. */
export function moved(seed: number): PlannedStack {
  const { stack, grid, random } = fieldBase({ name: 'moved', seed, texture: { kind: 'facets', slope: 1.2, contrast: 0.3 } }); // something to see everywhere
  const at = random.whole(7, 12);
  stack.scenes.push(movePatch(stack.scenes[0], patchCover(grid, 0.1, random), random));
  stack.frames.slice(at).forEach((frame) => { frame.scene = 1; });
  stack.faults = { moved: at };
  return stack;
}

/** Half the frames show another subject. */
export function twoSubjects(seed: number): PlannedStack {
  const { stack, grid } = fieldBase({ name: 'two-subjects', seed, gaps: {}, frames: 16 });
  const other = fieldBase({ name: 'other', seed: seed + 6, gaps: {}, frames: 16, picture: grid.picture, lens: stack.lens });
  stack.scenes.push(other.stack.scenes[0]);
  stack.frames.slice(8).forEach((frame, k) => { frame.scene = 1; frame.pose = stack.frames[k].pose; });
  stack.faults = { accept: ['undecided', 'reshoot'] };
  return stack;
}

function movePatch(scene: Scene, patch: Float32Array, random: Random): Scene {
  const group = scene.groups[0], shift = (random.whole(12, 26) * scene.columns + random.whole(12, 26)) * scene.oversample;
  const shifted = (plane: Float32Array) => plane.map((v, i) => { const from = i + shift; return patch[i] > 0.5 && from < plane.length ? plane[from] : v; });
  return { ...scene, groups: [{ depth: group.depth, light: group.light.map(shifted), cover: null }] };
}

function stretchInside(group: SurfaceGroup, near: number, far: number): void {
  let low = Infinity, high = -Infinity;
  group.depth.forEach((d, i) => { if (group.cover![i] > 0.5) { low = Math.min(low, d); high = Math.max(high, d); } });
  group.depth = group.depth.map((d) => near + ((far - near) * (Math.max(low, Math.min(high, d)) - low)) / (high - low));
}
