import { describe, expect, it } from 'vitest';
import { lastingChange } from '../../src/diagnosis/lasting-change.js';
import type { StackPicture } from '../../src/diagnosis/stack-picture.js';
import { IDENTITY } from '../../src/registration/similarity.js';

// Brightness written by hand: 30 × 30 tiles, so 100 blocks of 3 × 3; what should come out follows from what was put in.
const ROWS = 30, COLUMNS = 30;

function pictureOf(position: number[], light: (block: number, frame: number) => number): StackPicture {
  const frames = position.length, brightnessChange = new Float32Array(ROWS * COLUMNS * frames);
  for (let t = 0; t < ROWS * COLUMNS; t++) {
    const block = Math.floor(Math.floor(t / COLUMNS) / 3) * 10 + Math.floor((t % COLUMNS) / 3);
    for (let k = 0; k < frames; k++) brightnessChange[t * frames + k] = light(block, k);
  }
  const order = position.map((_, k) => k).sort((a, b) => position[a] - position[b]);
  return { stack: { frames, brightnessChange, inside: new Uint8Array(ROWS * COLUMNS).fill(1), gridRows: ROWS, gridColumns: COLUMNS }, position: Float64Array.from(position), order } as unknown as StackPicture;
}

const even = Array.from({ length: 16 }, (_, k) => 0.6 * k);
const still = (frames: number) => Array.from({ length: frames }, () => IDENTITY);
/** What defocus does to a block's light: a slow wave along the depth, another phase in each block. */
const drift = (block: number, depth: number): number => 0.02 * Math.sin(depth / 3 + block);
/** Noise that repeats: under a thousandth, as of a block of 48 × 48 pixels. */
const noise = (block: number, frame: number): number => 0.0008 * Math.sin(12.9898 * block + 78.233 * frame);

describe('lastingChange', () => {
  it('sees a tenth of the picture change at the frame where it does, and nowhere else', () => {
    const share = lastingChange(pictureOf(even, (b, k) => drift(b, even[k]) + noise(b, k) + (b < 10 && k >= 7 ? 0.04 : 0)), still(16));
    expect(share[7]).toBeCloseTo(0.1, 5);
    share.forEach((v, k) => { if (k !== 7) expect(v).toBeLessThan(0.02); });
  });

  it('takes what defocus does for no change, however strong', () => {
    expect(Math.max(...lastingChange(pictureOf(even, (b, k) => 5 * drift(b, even[k]) + noise(b, k)), still(16)))).toBeLessThan(0.02);
  });

  it('takes the wandering light of glints for no change', () => {
    // A glint's disc grows over a block and leaves it: a hump of light a few frames wide in the fifth part of all blocks.
    const hump = (b: number, k: number): number => (b % 5 === 0 ? 0.1 * Math.exp(-(((even[k] - 4) / 1.2) ** 2)) : 0);
    expect(Math.max(...lastingChange(pictureOf(even, (b, k) => hump(b, k) + noise(b, k)), still(16)))).toBeLessThan(0.02);
  });

  it('expects another light where a bump moved the subject under the lamp', () => {
    const light = (b: number, k: number): number => noise(b, k) + (b < 10 && k >= 7 ? 0.04 : 0), bumped = still(16).map((p, k) => (k >= 7 ? { ...p, row: 12 } : p));
    expect(Math.max(...lastingChange(pictureOf(even, light), bumped))).toBe(0);
  });

  it('judges frames shot last by those beside them in depth', () => {
    // Three top-up frames stand at the end of the folder and in the middle of the ladder.
    const position = [...even.slice(0, 7), ...even.slice(10), ...even.slice(7, 10)], first = 13;
    const same = lastingChange(pictureOf(position, (b, k) => drift(b, position[k]) + noise(b, k)), still(16));
    expect(Math.max(...same)).toBeLessThan(0.02);
    const turned = lastingChange(pictureOf(position, (b, k) => drift(b, position[k]) + noise(b, k) + (b < 30 && k >= first ? 0.05 : 0)), still(16));
    expect(turned[first]).toBeGreaterThan(0.25);
  });
});
