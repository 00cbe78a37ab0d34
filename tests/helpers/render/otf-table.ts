import { defocusedOtf } from '../../../src/optics/defocused-otf.js';
import { sphericalOtf } from './spherical-otf.js';

const WAVE_STEP = 0.05;
const DIRECT_BEYOND_WAVES = 16;
/** Entries a radial look-up has; entry i stands for s = i / (RADIAL_ENTRIES − 1). */
export const RADIAL_ENTRIES = 4096;

/**
 * The lens's response over frequency for any defocus, from rows computed exactly at every 0.05 waves and joined by
 * cubics across waves. At that spacing the joint is off by less than 1e-4 (fourth difference of a curve whose fastest
 * term is cos 2πW), far below the noise of any frame.
 */
export class OtfTable {
  private readonly rows = new Map<number, Float32Array>();
  private readonly direct = new Map<number, Float32Array>();
  private readonly curve: (s: number, waves: number) => number;

  constructor(sphericalWaves: number) {
    this.curve = sphericalWaves === 0 ? defocusedOtf : sphericalOtf(sphericalWaves);
    this.even = sphericalWaves === 0;
  }
  private readonly even: boolean;

  /** Response at RADIAL_ENTRIES frequencies for `waves` of defocus; written to `out`. */
  radial(waves: number, out: Float32Array): void {
    const w = this.even ? Math.abs(waves) : waves;
    if (Math.abs(w) > DIRECT_BEYOND_WAVES) { out.set(this.farRow(w)); return; }
    const cell = Math.floor(w / WAVE_STEP), t = w / WAVE_STEP - cell;
    const weights = [
      -t * (t - 1) * (t - 2) / 6, (t + 1) * (t - 1) * (t - 2) / 2, -(t + 1) * t * (t - 2) / 2, (t + 1) * t * (t - 1) / 6,
    ];
    const [a, b, c, d] = [-1, 0, 1, 2].map((k) => this.row(cell + k));
    const [wa, wb, wc, wd] = weights;
    for (let i = 0; i < RADIAL_ENTRIES; i++) out[i] = wa * a[i] + wb * b[i] + wc * c[i] + wd * d[i];
  }

  private row(index: number): Float32Array {
    const key = this.even ? Math.abs(index) : index;
    let row = this.rows.get(key);
    if (!row) { row = this.sample(key * WAVE_STEP); this.rows.set(key, row); }
    return row;
  }

  private farRow(waves: number): Float32Array {
    const key = Math.round(waves * 1000);
    let row = this.direct.get(key);
    if (!row) { row = this.sample(waves); this.direct.set(key, row); }
    return row;
  }

  /** Exact at every 8th entry (4th beyond 4 waves), cubic in between: the curve bends no faster than cos 8πWs. */
  private sample(waves: number): Float32Array {
    const stride = Math.abs(waves) > 4 ? 4 : 8;
    const last = RADIAL_ENTRIES - 1;
    const knots: number[] = [];
    for (let i = -1; i <= Math.ceil(last / stride) + 2; i++) knots.push(this.curve(Math.min(1, Math.abs((i * stride) / last)), waves));
    const out = new Float32Array(RADIAL_ENTRIES);
    for (let i = 0; i < RADIAL_ENTRIES; i++) {
      const k = Math.floor(i / stride), t = i / stride - k;
      const [a, b, c, d] = [knots[k], knots[k + 1], knots[k + 2], knots[k + 3]];
      out[i] = k === 0 ? b + (c - b) * t // a kink at s = 0: no cubic across it
        : -t * (t - 1) * (t - 2) / 6 * a + (t + 1) * (t - 1) * (t - 2) / 2 * b - (t + 1) * t * (t - 2) / 2 * c + (t + 1) * t * (t - 1) / 6 * d;
    }
    return out;
  }
}
