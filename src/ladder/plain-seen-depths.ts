import type { MeasurePlan } from '../sharpness/measure-plan.js';
import { componentsOf } from './components.js';
import type { SeenDepths } from './seen-depths.js';
import { median, quantileInPlace } from './statistics.js';

/**
 * Depth variance inside any window of a tile's size that no depths of tiles show, as a multiple of the squared deviation of neighbouring tiles from the bent surface
 * through them. Found on rendered relief of known depth.
 */
export const UNSEEN_SHARE = 0.85;
/** Most that neighbouring depths scatter beyond the solve's own uncertainty, as their textures differ; squared. Found on rendered planes and domes. */
export const MOST_SCATTER = 2;
/** Median of χ² with three degrees of freedom against its mean. */
export const MEDIAN_OF_ROUGH = 0.789;
/** Variance of a bend (½∂²/∂x² + ½∂²/∂y²) from nine depths of variance 1. */
export const BEND_NOISE = 1;
/** Squared radius a band's filter adds to its box, in units of (√(4n)/2πf)²: ¼ for an isotropic ring, more as defocus widens it. */
const FILTER_SHARE = 0.5;
/** Components that the filter's reach adds to those of the box alone, as a factor. Found, as the share above, on rendered relief of known depth and positions. */
const FILTER_COMPONENTS = 1.25;
/** Squared steps between neighbours beyond this multiple of their block's median are taken for jumps from one surface to another, which no window sees as a slope. */
export const MOST_STEP = 9;
/** Tiles along an edge of a block. */
export const BLOCK = 6;
/** Most a bend can be against the usual step: that of a fold is one step. */
export const MOST_BEND = 1.5;
/** Tiles on either side that roughness is averaged over: one tile alone says little. */
export const ROUGH_REACH = 2;

/** Variance along an axis of the window that each band's energy is gathered in, tiles squared. */
export function seenWindows(plan: MeasurePlan): number[] {
  return plan.bands.map((band) => (band.boxPx ** 2 / 12 + (FILTER_SHARE * 4 * band.order) / (2 * Math.PI * band.centre) ** 2) / (2 * plan.cellPx) ** 2);
}

/**
 * Share of a window's depth variance that shows as a wider curve, per band: of n components each tile's own are few, and their mean depth is what the tile's depth stands for.
 * (Expected variance about the mean of n draws: 1 − 1/n.)
 */
export function shownShares(plan: MeasurePlan): number[] {
  return plan.bands.map((band) => 1 - 1 / Math.max(1, FILTER_COMPONENTS * componentsOf(band)));
}

/** Source of what {@link seenDepths} in seen-depths.ts says, in plain code. */
export function plainSeenDepths(depth: Float64Array, rows: number, columns: number, plan: MeasurePlan, variance: number, asked: Int32Array): SeenDepths {
  const count = rows * columns, bends = new Float64Array(count), rough = new Float64Array(count).fill(NaN), fold = new Float64Array(count);
  const usual = usualSteps(depth, rows, columns), blocks = Math.ceil(columns / BLOCK), blockOf = (r: number, c: number): number => Math.floor(r / BLOCK) * blocks + Math.floor(c / BLOCK);
  for (let r = 0, i = 0; r < rows; r++) for (let c = 0; c < columns; c++, i++) {
    if (Number.isNaN(depth[i])) continue;
    const block = blockOf(r, c), step = usual.across[block] + usual.down[block];
    if (r === 0 || c === 0 || r === rows - 1 || c === columns - 1) continue;
    const bent = bentSurface(depth, i, columns);
    if (Number.isNaN(bent.bend)) continue;
    fold[i] = Math.abs(bent.bend);
    const most = MOST_BEND * Math.sqrt(step);
    bends[i] = Math.max(-most, Math.min(most, bent.bend));
    rough[i] = Math.min(bent.rough, step);
  }
  const known = rough.filter((v) => !Number.isNaN(v));
  // The solve's uncertainty is a tile's own; what tiles side by side scatter by is often less, and the roughness holds all of it.
  const noise = known.length ? Math.min(MOST_SCATTER * variance, median(known) / MEDIAN_OF_ROUGH) : variance;
  const windows = seenWindows(plan), shown = shownShares(plan), spread = windows.map(() => new Float64Array(asked.length)), bend = windows.map(() => new Float64Array(asked.length));
  for (let n = 0; n < asked.length; n++) {
    const i = asked[n], r = Math.floor(i / columns), c = i % columns;
    if (Number.isNaN(depth[i])) continue;
    const block = blockOf(r, c), slope = steepness(depth, rows, columns, r, c, MOST_STEP * usual.across[block], MOST_STEP * usual.down[block]);
    const steep = Math.max(0, slope - 4 * noise), unseen = UNSEEN_SHARE * Math.max(0, meanAround(rough, rows, columns, r, c) - noise);
    // As far as a bend stands above its uncertainty it is believed.
    const square = bends[i] ** 2, believed = square > 0 ? square / (square + BEND_NOISE * noise) : 0;
    windows.forEach((window, b) => {
      spread[b][n] = Math.sqrt((steep * window + unseen) * shown[b]);
      bend[b][n] = believed * bends[i] * (window - windows[0]);
    });
  }
  return { spread, bend, fold: Float64Array.from(asked, (i) => fold[i]) };
}

interface UsualSteps { across: Float64Array; down: Float64Array }

/** Median squared steps between neighbours along rows and down columns, in blocks of tiles; 0 where none is known. */
function usualSteps(depth: Float64Array, rows: number, columns: number): UsualSteps {
  const blocks = Math.ceil(columns / BLOCK), across = new Float64Array(blocks * Math.ceil(rows / BLOCK)), down = across.slice(), right = new Float64Array(BLOCK * BLOCK), below = right.slice();
  for (let top = 0, block = 0; top < rows; top += BLOCK) for (let left = 0; left < columns; left += BLOCK, block++) {
    let rights = 0, belows = 0;
    for (let r = top, bottom = Math.min(rows, top + BLOCK); r < bottom; r++) for (let c = left, end = Math.min(columns, left + BLOCK); c < end; c++) {
      const i = r * columns + c, here = depth[i];
      if (Number.isNaN(here)) continue;
      const x = c + 1 < columns ? depth[i + 1] - here : NaN, y = r + 1 < rows ? depth[i + columns] - here : NaN;
      if (!Number.isNaN(x)) right[rights++] = x * x;
      if (!Number.isNaN(y)) below[belows++] = y * y;
    }
    if (rights) across[block] = quantileInPlace(right.subarray(0, rights), 0.5);
    if (belows) down[block] = quantileInPlace(below.subarray(0, belows), 0.5);
  }
  return { across, down };
}

/** Mean squared step between neighbours along rows, and down columns, in the 3 × 3 tiles around one: summed, the squared slope plus four times the variance of a depth. `most…`: squared steps count no more than this. */
function steepness(depth: Float64Array, rows: number, columns: number, row: number, column: number, mostAcross: number, mostDown: number): number {
  let across = 0, down = 0, acrossCount = 0, downCount = 0;
  for (let r = Math.max(0, row - 1); r <= Math.min(rows - 1, row + 1); r++) for (let c = Math.max(0, column - 1); c <= Math.min(columns - 1, column + 1); c++) {
    const here = depth[r * columns + c];
    if (Number.isNaN(here)) continue;
    if (c <= column && c + 1 < columns) { const step = depth[r * columns + c + 1] - here; if (!Number.isNaN(step)) { across += Math.min(step * step, mostAcross); acrossCount++; } }
    if (r <= row && r + 1 < rows) { const step = depth[(r + 1) * columns + c] - here; if (!Number.isNaN(step)) { down += Math.min(step * step, mostDown); downCount++; } }
  }
  return across / Math.max(1, acrossCount) + down / Math.max(1, downCount);
}

/** Sum of the two bends ½∂²/∂x² of the quadratic surface through the 3 × 3 tiles around one, a tile being the unit, and the tiles' mean squared deviation from it; NaN where one is unknown. */
function bentSurface(depth: Float64Array, at: number, columns: number): { bend: number; rough: number } {
  let z = 0, xz = 0, yz = 0, zz = 0, xxz = 0, yyz = 0, xyz = 0;
  for (let i = -1; i <= 1; i++) for (let j = -1; j <= 1; j++) {
    const d = depth[at + i * columns + j];
    z += d; xz += j * d; yz += i * d; zz += d * d; xxz += j * j * d; yyz += i * i * d; xyz += i * j * d;
  }
  // On the whole lattice the surface's parts are orthogonal; nine depths less six of them leave three.
  const bendX = (xxz - (2 / 3) * z) / 2, bendY = (yyz - (2 / 3) * z) / 2;
  const left = zz - (z * z) / 9 - (xz * xz + yz * yz) / 6 - 2 * (bendX * bendX + bendY * bendY) - (xyz * xyz) / 4;
  return { bend: bendX + bendY, rough: Math.max(0, left) / 3 };
}

/** 0 where nothing is known around. */
function meanAround(values: Float64Array, rows: number, columns: number, row: number, column: number): number {
  let sum = 0, n = 0;
  for (let r = Math.max(0, row - ROUGH_REACH); r <= Math.min(rows - 1, row + ROUGH_REACH); r++) for (let c = Math.max(0, column - ROUGH_REACH); c <= Math.min(columns - 1, column + ROUGH_REACH); c++) {
    const v = values[r * columns + c];
    if (!Number.isNaN(v)) { sum += v; n++; }
  }
  return n ? sum / n : 0;
}
