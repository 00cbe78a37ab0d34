import type { TileMap } from '../contract/report.js';
import { median, robustSpread } from '../ladder/statistics.js';
import { fitLinear } from './fit-lines.js';

/** The target as a plane in the picture. */
export interface RailTarget {
  /** Change of depth along the steepest line, DOF per pixel of the frame as shot. */
  slopeDofPerPx: number;
  /** Robust standard deviation of tile depths from the plane. */
  flatnessDof: number;
}

const LEAST_TILES = 40;
const ROUNDS = 8;
/** Tukey's biweight leaves out what lies this many robust deviations away (the usual 95 % efficient choice). */
const BIWEIGHT = 4.685;

/** The plane through the measured tiles; tiles that do not belong to it (dust, an edge) count little. Null: too few tiles. */
export function railTarget(tiles: TileMap): RailTarget | null {
  const rows: number[] = [], columns: number[] = [], depth: number[] = [];
  tiles.depthDof.forEach((dof, i) => {
    if (dof === null || (tiles.state[i] !== 'sharp' && tiles.state[i] !== 'soft')) return;
    rows.push((Math.floor(i / tiles.columns) + 0.5) * tiles.tilePx);
    columns.push(((i % tiles.columns) + 0.5) * tiles.tilePx);
    depth.push(dof);
  });
  if (depth.length < LEAST_TILES) return null;
  const middleRow = median(rows), middleColumn = median(columns);
  const regressors = [depth.map(() => 1), rows.map((v) => v - middleRow), columns.map((v) => v - middleColumn)];
  let weight = depth.map(() => 1), fit = fitLinear(regressors, depth, weight);
  for (let round = 0; round < ROUNDS && fit; round++) {
    const limit = BIWEIGHT * Math.max(robustSpread(fit.residual), 1e-9);
    weight = fit.residual.map((r) => (Math.abs(r) < limit ? (1 - (r / limit) ** 2) ** 2 : 0));
    fit = fitLinear(regressors, depth, weight);
  }
  return fit && { slopeDofPerPx: Math.hypot(fit.coefficients[1], fit.coefficients[2]), flatnessDof: robustSpread(fit.residual) };
}

/**
 * Length of one DOF by the target's tilt alone: neither aperture nor pupil ratio enters.
 *
 * @returns µm, pitch / magnification · tan(tilt) / slope
 */
export function dofFromTiltUm(slopeDofPerPx: number, tiltDeg: number, magnification: number, pixelPitchUm: number): number {
  return ((pixelPitchUm / magnification) * Math.tan((tiltDeg * Math.PI) / 180)) / slopeDofPerPx;
}
