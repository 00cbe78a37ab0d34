import { blur } from '../render/in-camera.js';
import { Random } from '../render/random.js';
import type { Scene, SurfaceGroup } from '../render/scene.js';
import { crystalOf, meet, type Crystal, type Hit, type Vector } from './convex-crystal.js';
import { crystalLight, surfaceDetail, type Colour, type CrystalColours } from './crystal-light.js';
import { spectralNoise } from './spectral-noise.js';

const AMETHYST: CrystalColours = { tip: [0.33, 0.17, 0.47], foot: [0.60, 0.50, 0.58], glow: [0.75, 0.34, 0.95] };
const CITRINE: CrystalColours = { tip: [0.66, 0.33, 0.075], foot: [0.72, 0.56, 0.36], glow: [1, 0.55, 0.12] };
const MATRIX: Colour = [0.17, 0.19, 0.13], RUST: Colour = [0.42, 0.16, 0.05];

/** Depths of the druse in λ/NA²: golden crystals lie across in front, the violet bed begins well behind them. */
export const DRUSE = { frontNear: 0, frontFar: 3.3, bedNear: 4.75, bedFar: 14.1 };

/**
 * A micromount: violet crystals standing on their matrix, three golden ones lying across them.
 * @param depthUnitPx grid points per λ/NA² at the picture's scale, so that slopes are true
 */
export function quartzDruse(rows: number, columns: number, depthUnitPx: number, seed: number): Scene {
  const random = new Random(seed);
  const detail = surfaceDetail(rows, columns, random);
  const standing = standingCrystals(rows, columns, depthUnitPx, random), lying = lyingCrystals(rows, columns, depthUnitPx);
  const floor = floorOf(rows, columns, random);
  const front = emptyGroup(rows * columns), bed = emptyGroup(rows * columns);
  front.cover = new Float32Array(rows * columns);
  const paint = (group: SurfaceGroup, i: number, depthPx: number, light: Colour) => {
    group.depth[i] = depthPx / depthUnitPx;
    for (let c = 0; c < 3; c++) group.light[c][i] = light[c];
  };
  for (let row = 0; row < rows; row++) {
    const inReach = (crystals: Crystal[]) => crystals.filter((k) => Math.abs(k.origin[0] - row) < k.reach);
    const standingHere = inReach(standing), lyingHere = inReach(lying);
    for (let column = 0; column < columns; column++) {
      const i = row * columns + column;
      const found = nearest(standingHere, row, column);
      const floorPx = (DRUSE.bedFar - 0.05 - 0.9 * floor.height[i]) * depthUnitPx;
      if (found && found.hit.near < floorPx) paint(bed, i, found.hit.near, crystalLight(found.crystal, found.hit, row, column, i, AMETHYST, detail));
      else paint(bed, i, floorPx, floor.light(i, detail.specks[i]));
      const before = nearest(lyingHere, row, column);
      if (!before) continue;
      front.cover[i] = 1;
      paint(front, i, before.hit.near, crystalLight(before.crystal, before.hit, row, column, i, CITRINE, detail));
    }
  }
  const seen = bed.depth.map((d, i) => (front.cover![i] ? front.depth[i] : d));
  settle(bed, seen, rows, columns);
  settle(front, seen, rows, columns);
  return { rows, columns, oversample: 1, groups: [front, bed] };
}

function emptyGroup(size: number): SurfaceGroup { return { depth: new Float32Array(size), light: [0, 1, 2].map(() => new Float32Array(size)), cover: null }; }

/** Darkens what lies lower than its surroundings, and deep down altogether, and bends highlights over before they clip. */
function settle(group: SurfaceGroup, seen: Float32Array, rows: number, columns: number): void {
  const around = blur(seen, rows, columns, 22);
  for (let i = 0; i < seen.length; i++) {
    const below = Math.max(0, group.depth[i] - around[i]), above = Math.max(0, around[i] - group.depth[i]);
    const deep = Math.max(0, (group.depth[i] - DRUSE.bedNear) / (DRUSE.bedFar - DRUSE.bedNear));
    const shade = (0.22 + 0.78 * Math.exp(-0.5 * below)) * (1 + 0.08 * Math.min(2, above)) * (1.15 - 0.55 * deep ** 1.3);
    for (let c = 0; c < 3; c++) group.light[c][i] = gently(1.1 * group.light[c][i] * shade);
  }
}

/** Bends highlights over before they clip. */
function gently(v: number): number { return v < 0.5 ? v : 0.5 + 0.38 * (1 - Math.exp(-(v - 0.5) / 0.38)); }

function nearest(crystals: Crystal[], row: number, column: number): { crystal: Crystal; hit: Hit } | null {
  let best: { crystal: Crystal; hit: Hit } | null = null;
  for (const crystal of crystals) {
    const hit = meet(crystal, row, column);
    if (hit && (!best || hit.near < best.hit.near)) best = { crystal, hit };
  }
  return best;
}

/** The bed: tips at all depths between bedNear and two thirds down, leaning a little in all directions. */
function standingCrystals(rows: number, columns: number, unitPx: number, random: Random): Crystal[] {
  const out: Crystal[] = [];
  const nearPx = DRUSE.bedNear * unitPx, farPx = DRUSE.bedFar * unitPx;
  const pitch = 128;
  for (let r = 0; r < rows / pitch; r++) {
    for (let c = 0; c < columns / pitch; c++) {
      const radius = random.between(46, 104);
      const lean: Vector = [random.between(-0.5, 0.5), random.between(-0.5, 0.5), -1];
      const tip = nearPx + (farPx - nearPx) * random.between(0.02, 0.78);
      const halfLength = farPx - tip;
      const length = Math.hypot(...lean);
      const place: Vector = [(r + random.between(0.1, 0.9)) * pitch, (c + random.between(0.1, 0.9)) * pitch, 0];
      // The tip's apex stands at `tip`: put the origin one half-length below it along the leaning axis.
      place[2] = tip + halfLength / length;
      out.push(crystalOf({ origin: place, axis: lean, radius, halfLength: halfLength * 1.05, tipSlope: random.between(0.5, 0.85), twist: random.between(0, 1), tint: random.between(0, 1) }));
    }
  }
  // Lower all that stand proud of the bed's nearest depth.
  for (const crystal of out) {
    let least = Infinity;
    for (let r = -100; r <= 100; r += 4) for (let c = -100; c <= 100; c += 4) {
      const hit = meet(crystal, crystal.origin[0] + r, crystal.origin[1] + c);
      if (hit) least = Math.min(least, hit.near);
    }
    if (least < nearPx) crystal.origin[2] += nearPx - least + 1;
  }
  return out;
}

/** Three doubly ended crystals lying across, their nearest ridges between frontNear and a little behind. */
function lyingCrystals(rows: number, columns: number, unitPx: number): Crystal[] {
  const shapes = [
    { at: [0.40, 0.36], axis: [-0.42, 1, 0.01], radius: 68, halfLength: 290, rise: 0, tint: 0.31 },
    { at: [0.68, 0.66], axis: [0.7, 1, -0.02], radius: 54, halfLength: 190, rise: 0.7, tint: 0.62 },
    { at: [0.25, 0.74], axis: [1, 0.35, 0.02], radius: 44, halfLength: 130, rise: 1.3, tint: 0.85 },
  ];
  return shapes.map(({ at, axis, radius, halfLength, rise, tint }) => {
    const crystal = crystalOf({ origin: [at[0] * rows, at[1] * columns, 0], axis: axis as Vector, radius, halfLength, tipSlope: 0.75, twist: 0.35 + tint, tint });
    let least = Infinity;
    for (let r = -320; r <= 320; r += 2) for (let c = -320; c <= 320; c += 2) {
      const hit = meet(crystal, crystal.origin[0] + r, crystal.origin[1] + c);
      if (hit) least = Math.min(least, hit.near);
    }
    crystal.origin[2] = (DRUSE.frontNear + rise) * unitPx - least;
    return crystal;
  });
}

/** Grainy matrix with rust between the crystals' feet; height 0 … 1. */
function floorOf(rows: number, columns: number, random: Random): { height: Float32Array; light: (i: number, speck: number) => Colour } {
  const rough = spectralNoise(rows, columns, 1.7, random, 4, 2), grain = spectralNoise(rows, columns, 0.9, random, 40), stain = spectralNoise(rows, columns, 1.6, random, 6);
  return {
    height: rough.map((v) => Math.max(0, Math.min(1, 0.5 + 0.22 * v))),
    light: (i, speck) => {
      const rusty = 1 / (1 + Math.exp(-3 * (stain[i] - 0.4)));
      const fine = 1.6 * Math.exp(0.32 * Math.max(-2.5, Math.min(2.5, grain[i])) + 0.6 * speck);
      return [0, 1, 2].map((c) => (MATRIX[c] * (1 - rusty) + RUST[c] * rusty) * fine) as Colour;
    },
  };
}
