import { invertSimilarity, turnOf } from '../registration/similarity.js';
import { bandResponse } from '../sharpness/band-response.js';
import { halvingPower } from '../sharpness/halving-power.js';
import { fastWindowSums } from './fast-windows.js';
import { ladderUnit } from './ladder-unit.js';
import { DEFOCUS_COUNT, DEFOCUS_STEP, otfTable } from './otf-table.js';
import type { TileStack } from './tile-stack.js';

/** A window takes part in a frame that leaves this much of the band's energy in it. */
const LEAST_ENERGY = 0.5;
/** Fewer windows in focus tell no spectrum. */
const FEWEST_WINDOWS = 12;
/** Part of a window, from its middle, that its weights let count; how much of it must have known depths. */
const INNER_SHARE = 0.6, LEAST_KNOWN = 0.5, FEWEST_KNOWN = 3;
/** Depths read along a window's edge at most. */
const MOST_ACROSS = 5;
/** Frequencies beyond this share of the cutoff hold noise alone. */
export const HIGHEST_SHARE = 0.95;
/** Bins in which the windows in focus show less than this many times the noise are left to the law: the noise is taken to be white, and is not quite. */
const LEAST_SIGNAL = 10;

/** Places of a window's depths in the OTF table's lines. */
const places = new Int32Array(MOST_ACROSS ** 2);

/**
 * Mean power in a band's windows if all were in focus, noise taken off as white noise of the fine band's level (the coarser bands' own is mostly what is
 * left of the subject); each window counts by its contrast, not by its strength.
 *
 * @param depth of the tile grid, ladder units; NaN where unknown
 * @param z frame positions, ladder units
 * @returns per radial bin, NaN where it drowns in noise; null where too few windows are in focus
 */
export function powerInFocus(stack: TileStack, b: number, depth: Float64Array, z: ArrayLike<number>): Float64Array | null {
  const { plan, frames, rows, columns, tilePx, gridRows, gridColumns } = stack, band = plan.bands[b], first = stack.spectra[0]?.[band.level];
  if (!first) return null;
  const { squared, lineOf } = otfTable(ladderUnit(plan)), { bins, sizePx, row, column } = first, scale = 2 ** band.level;
  const ratio = Float64Array.from({ length: bins }, (_, i) => (i + 0.5) / (sizePx * scale) / plan.cutoff), used = ratio.findIndex((r) => r >= HIGHEST_SHARE), most = used < 0 ? bins : used;
  const lines = Int32Array.from(ratio, lineOf), white = ratio.map((r) => halvingPower(band.level, r * plan.cutoff) / bandResponse(plan.bands[0]).noiseGain);
  const centre = band.centre / plan.cutoff, middle = ratio.findIndex((r) => r >= centre);
  const reach = (INNER_SHARE * sizePx * scale) / 2, stride = Math.max(tilePx / 2, (2 * reach) / MOST_ACROSS), edge = Math.ceil((2 * reach) / stride - 1e-9);
  const ofBand: WindowsOfBand = {
    row, column, bins, most, firstBin: Math.max(1, middle - 2), lastBin: Math.min(bins - 1, middle + 2), scale, reach, stride, edge, fewest: Math.max(FEWEST_KNOWN, LEAST_KNOWN * edge * edge), leastEnergy: LEAST_ENERGY,
    depth, gridRows, gridColumns, tilePx, halfRows: rows / 2, halfColumns: columns / 2, squared, lines, centreLine: lineOf(centre), white, defocusStep: DEFOCUS_STEP, lastDefocus: DEFOCUS_COUNT - 1,
  };
  const ofFrames = Array.from({ length: frames }, (_, k): FrameWindows => {
    const back = invertSimilarity(stack.transforms[k]);
    return { power: stack.spectra[k][band.level]!.power, exposure: Math.exp(-2 * stack.gain[k]), noise: stack.noise[0][k], z: z[k], ...turnOf(back), downPx: back.row, acrossPx: back.column };
  });
  const { taken, top, bottom, noisy } = fastWindowSums(ofBand, ofFrames) ?? plainWindowSums(ofBand, ofFrames);
  return taken < FEWEST_WINDOWS ? null : top.map((v, i) => (bottom[i] > 0 && v > LEAST_SIGNAL * noisy[i] ? v / bottom[i] : NaN));
}

/** What is the same for all frames of a band. */
export interface WindowsOfBand {
  /** Centres of the windows, their pixels, and measured pixels in one of those. */
  row: Float32Array; column: Float32Array; scale: number;
  /** Radial bins, those looked at, and those around the band's centre. */
  bins: number; most: number; firstBin: number; lastBin: number;
  /** Depths read: from so far before a window's middle, so far apart, so many along an edge, measured pixels; so many must be known. */
  reach: number; stride: number; edge: number; fewest: number;
  leastEnergy: number;
  depth: Float64Array; gridRows: number; gridColumns: number; tilePx: number; halfRows: number; halfColumns: number;
  /** OTF table, where each bin's line in it starts and where the band's centre's does, and what white noise gives a bin. */
  squared: Float64Array; lines: Int32Array; centreLine: number; white: Float64Array; defocusStep: number; lastDefocus: number;
}
/** One frame's windows: window × bin, its energy gain and noise, position, and the similarity from it back to the reference frame. */
export interface FrameWindows { power: Float32Array; exposure: number; noise: number; z: number; cosine: number; sine: number; downPx: number; acrossPx: number }
/** Windows near enough to focus, and per bin: their power less noise, what they would have of it at most, and the noise. */
export interface WindowSums { taken: number; top: Float64Array; bottom: Float64Array; noisy: Float64Array }

function plainWindowSums(band: WindowsOfBand, frames: readonly FrameWindows[]): WindowSums {
  const { row, column, bins, most, scale, reach, stride, edge, depth, gridRows, gridColumns, tilePx, halfRows, halfColumns, squared, lines, centreLine, white } = band;
  const top = new Float64Array(bins), bottom = new Float64Array(bins), noisy = new Float64Array(bins);
  let taken = 0;
  for (const { power, exposure, noise: own, z, cosine, sine, downPx, acrossPx } of frames) {
    for (let w = 0; w < row.length; w++) {
      const startDown = row[w] * scale - reach - halfRows, startAcross = column[w] * scale - reach - halfColumns;
      let known = 0;
      for (let i = 0; i < edge; i++) for (let j = 0; j < edge; j++) {
        const down = startDown + i * stride, across = startAcross + j * stride;
        const r = Math.floor((cosine * down - sine * across + downPx + halfRows) / tilePx), c = Math.floor((sine * down + cosine * across + acrossPx + halfColumns) / tilePx);
        if (r < 0 || c < 0 || r >= gridRows || c >= gridColumns) continue;
        const defocus = Math.abs(z - depth[r * gridColumns + c]);
        if (defocus >= 0) places[known++] = Math.min(band.lastDefocus, Math.round(defocus / band.defocusStep));
      }
      if (known < band.fewest) continue;
      const left = meanOf(squared, centreLine, known) / squared[centreLine];
      if (left < band.leastEnergy) continue;
      taken++;
      let strength = 1e-12;
      for (let i = band.firstBin; i <= band.lastBin; i++) strength += power[w * bins + i] * exposure;
      const share = left / strength, noise = share * own;
      for (let i = 0; i < most; i++) {
        noisy[i] += noise * white[i];
        top[i] += share * power[w * bins + i] * exposure - noise * white[i];
        bottom[i] += (share * meanOf(squared, lines[i], known)) / squared[lines[i]];
      }
    }
  }
  return { taken, top, bottom, noisy };
}

/** Mean of one line of the OTF table over the first places read. */
function meanOf(squared: Float64Array, line: number, known: number): number {
  let sum = 0;
  for (let i = 0; i < known; i++) sum += squared[line + places[i]];
  return sum / known;
}
