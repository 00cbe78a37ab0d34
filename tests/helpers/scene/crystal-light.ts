import type { Random } from '../render/random.js';
import { dot, unit, type Crystal, type Hit, type Vector } from './convex-crystal.js';
import { spectralNoise } from './spectral-noise.js';

export type Colour = [number, number, number];

/** Colours of one kind of crystal, linear light. */
export interface CrystalColours { tip: Colour; foot: Colour; glow: Colour }

/** Detail shared by all surfaces: fine bloom, inclusions, veils inside the stones. */
export interface SurfaceDetail { bloom: Float32Array; veil: Float32Array; specks: Float32Array; lines: Float32Array }

export function surfaceDetail(rows: number, columns: number, random: Random): SurfaceDetail {
  const specks = new Float32Array(rows * columns);
  for (let n = 0; n < (rows * columns) / 420; n++) {
    const at = [random.between(3, rows - 3), random.between(3, columns - 3)];
    const radius = random.between(0.5, 1.5), strength = random.pick([-0.9, -0.6, 0.5, 0.8]);
    for (let r = Math.floor(at[0] - 3); r <= at[0] + 3; r++) for (let c = Math.floor(at[1] - 3); c <= at[1] + 3; c++) {
      const weight = 1 / (1 + Math.exp(4 * (Math.hypot(r - at[0], c - at[1]) - radius)));
      if (r >= 0 && c >= 0 && r < rows && c < columns) specks[r * columns + c] += strength * weight;
    }
  }
  const lines = Float32Array.from({ length: 4096 }, () => random.normal()); // growth lines: a random profile along the axis
  return { bloom: spectralNoise(rows, columns, 1.05, random, 20), veil: spectralNoise(rows, columns, 1.9, random, 5), specks, lines };
}

const LAMP = unit([-0.55, -0.5, -0.7]), RIM = unit([0.45, 0.75, -0.35]), FILL = unit([0.1, 0.3, -1]);
const VIEW: Vector = [0, 0, -1];

/** Light a crystal sends to the camera at grid point i, seen through hit: body colour, growth lines, inner reflections, gloss. */
export function crystalLight(crystal: Crystal, hit: Hit, row: number, column: number, i: number, colours: CrystalColours, detail: SurfaceDetail): Colour {
  const face = crystal.faces[hit.entry], n = face.normal;
  const p: Vector = [row - crystal.origin[0], column - crystal.origin[1], hit.near - crystal.origin[2]];
  const along = dot(p, crystal.axis) / crystal.reach;
  const inner = 0.5 + 0.5 * Math.sin(hit.exit * 2.4 + hit.entry * 1.3 + 12 * crystal.tint); // what the far faces throw back
  const thickness = Math.min(1, (hit.far - hit.near) / (1.1 * crystal.reach));
  // Faces are never quite flat, and the lamps are near: both make light run across a face.
  const bend = 0.2 / crystal.reach;
  const m = unit([n[0] + bend * p[0] + 0.018 * detail.veil[i], n[1] + bend * p[1] - 0.018 * detail.veil[i], n[2]]);
  const lit = 0.22 + 0.55 * Math.max(0, dot(m, LAMP)) + 0.2 * Math.max(0, dot(m, FILL)) + 0.3 * Math.max(0, dot(m, RIM));
  const gloss = 0.62 * lobe(m, LAMP, 14) + 0.3 * lobe(m, RIM, 26);
  const grown = growthLines(crystal, face.kind, p, n, detail.lines);
  const fine = Math.exp(0.13 * clamp(detail.bloom[i]) + (face.kind === 'side' ? 0.2 : 0.11) * grown + 0.5 * detail.specks[i]);
  const milk = 1 / (1 + Math.exp(-5 * (detail.veil[i] * 0.45 - along * 1.1 - 0.5)));
  const out: Colour = [0, 0, 0];
  for (let c = 0; c < 3; c++) {
    const body = colours.tip[c] * (1 - milk) + colours.foot[c] * milk;
    const deep = body ** (1 + 0.45 * thickness) * (0.62 + 0.55 * inner) + colours.glow[c] * inner * 0.16;
    out[c] = (deep * lit + gloss * (0.92 + 0.08 * body)) * fine;
  }
  return out;
}

/** Mirror of a soft lamp in a polished face. */
function lobe(n: Vector, lamp: Vector, tightness: number): number {
  const d = 2 * dot(n, VIEW);
  const mirrored: Vector = [d * n[0] - VIEW[0], d * n[1] - VIEW[1], d * n[2] - VIEW[2]];
  return Math.max(0, dot(mirrored, lamp)) ** tightness;
}

/** Lines across the axis on the sides, parallel to the edges on the tips, each a few points wide. */
function growthLines(crystal: Crystal, kind: 'side' | 'tip', p: Vector, n: Vector, lines: Float32Array): number {
  const u = dot(p, crystal.axis), across = Math.abs(n[0]) + Math.abs(n[1]) < 1e-6 ? p[0] : (n[1] * p[0] - n[0] * p[1]);
  const start = 37 * Math.floor(60 * crystal.tint) + (kind === 'tip' ? 1700 : 0);
  const wobble = 1.5 * Math.sin(across * 0.05 + 20 * crystal.tint);
  return 0.65 * profile(lines, start + (u + wobble) / 1.9) + 0.6 * profile(lines, start + 900 + (u + wobble) / 7) + (kind === 'tip' ? 0.5 * profile(lines, start + 300 + across / 5) : 0);
}

function profile(lines: Float32Array, x: number): number {
  const k = Math.floor(x), t = x - k, at = (j: number) => lines[((j % 4096) + 4096) % 4096];
  return at(k) * (1 - t) + at(k + 1) * t;
}

function clamp(v: number): number { return Math.max(-2.5, Math.min(2.5, v)); }
