import { describe, expect, it } from 'vitest';
import { awayFromGlints } from '../../src/ladder/away-from-glints.js';

/** Expected values are counted on the grid: two rings around one tile are a square of five by five. */
describe('awayFromGlints', () => {
  const EDGE = 30, all = Int32Array.from({ length: EDGE * EDGE }, (_, t) => t), clearBut = (...clipped: number[]): Uint8Array => Uint8Array.from(all, (t) => (clipped.includes(t) ? 0 : 1));
  const grid = { gridRows: EDGE, gridColumns: EDGE }, at = (row: number, column: number): number => row * EDGE + column;

  it('leaves out two rings of tiles around a clipped one', () => {
    const left = awayFromGlints({ ...grid, clear: clearBut(at(10, 12)) }, all), gone = all.filter((t) => !left.includes(t));
    expect(gone).toHaveLength(25);
    for (const t of gone) { expect(Math.abs(Math.floor(t / EDGE) - 10)).toBeLessThanOrEqual(2); expect(Math.abs((t % EDGE) - 12)).toBeLessThanOrEqual(2); }
  });

  it('does not reach around the edges of the picture', () => {
    expect(awayFromGlints({ ...grid, clear: clearBut(at(0, 0)) }, all)).toHaveLength(EDGE * EDGE - 9);
    expect(awayFromGlints({ ...grid, clear: clearBut(at(0, EDGE - 1)) }, all)).toHaveLength(EDGE * EDGE - 9);
  });

  it('leaves out fewer rings, or none, where else too few tiles are left', () => {
    // Every fifth tile each way is clipped: two rings leave none, one ring those that touch no clipped tile.
    const lattice = clearBut(...all.filter((t) => Math.floor(t / EDGE) % 5 === 0 && (t % EDGE) % 5 === 0));
    expect([...awayFromGlints({ ...grid, clear: lattice }, all)]).toEqual([...all].filter((t) => nextTo(t, lattice) === 0));
    const dense = clearBut(...all.filter((t) => Math.floor(t / EDGE) % 2 === 0 && t % 2 === 0));
    expect(awayFromGlints({ ...grid, clear: dense }, all)).toBe(all);
  });

  it('keeps all where nothing is clipped', () => expect(awayFromGlints({ ...grid, clear: clearBut() }, all)).toBe(all));

  /** Clipped tiles among a tile and its neighbours. */
  function nextTo(t: number, clear: Uint8Array): number {
    const row = Math.floor(t / EDGE), column = t % EDGE;
    let count = 0;
    for (let r = row - 1; r <= row + 1; r++) for (let c = column - 1; c <= column + 1; c++) if (r >= 0 && c >= 0 && r < EDGE && c < EDGE && !clear[at(r, c)]) count++;
    return count;
  }
});
