import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { bounded, fitted, panned, toScreen, toSource, zoomedAt } from '../../renderer/canvas/viewport.js';
import { coarsestLevel, levelFor, PIECE_PX, visiblePieces } from '../../renderer/canvas/visible-tiles.js';

const screen = { width: 800, height: 600 };
const pictures = fc.record({ rows: fc.integer({ min: 1, max: 9000 }), columns: fc.integer({ min: 1, max: 9000 }) });
const views = fc.record({ row: fc.double({ min: -100, max: 9100, noNaN: true }), column: fc.double({ min: -100, max: 9100, noNaN: true }), zoom: fc.double({ min: 0.001, max: 20, noNaN: true }) });

describe('the view of a picture', () => {
  it('fits the whole picture', () => {
    expect(fitted({ rows: 4000, columns: 6000 }, screen)).toEqual({ row: 2000, column: 3000, zoom: 800 / 6000 });
    expect(fitted({ rows: 6000, columns: 400 }, screen).zoom).toBe(0.1);
  });

  it('turns screen points into source pixels and back', () => {
    fc.assert(fc.property(views, fc.double({ min: 0, max: 800, noNaN: true }), fc.double({ min: 0, max: 600, noNaN: true }), (view, x, y) => {
      const there = toSource(view, x, y, screen);
      const back = toScreen(view, there.row, there.column, screen);
      expect(Math.hypot(back.x - x, back.y - y)).toBeLessThan(1e-6);
    }));
  });

  it('keeps the point under the pointer while zooming, away from the edges', () => {
    const picture = { rows: 4000, columns: 6000 };
    const view = bounded({ row: 2000, column: 3000, zoom: 1 }, picture, screen);
    const before = toSource(view, 100, 500, screen);
    const after = toSource(zoomedAt(view, 1.7, 100, 500, picture, screen), 100, 500, screen);
    expect(after.row).toBeCloseTo(before.row, 9);
    expect(after.column).toBeCloseTo(before.column, 9);
  });

  it('never leaves the picture, whatever is pulled', () => {
    fc.assert(fc.property(views, pictures, fc.integer({ min: -5000, max: 5000 }), fc.integer({ min: -5000, max: 5000 }), (view, picture, dx, dy) => {
      const moved = panned(bounded(view, picture, screen), dx, dy, picture, screen);
      expect(moved.row).toBeGreaterThanOrEqual(0);
      expect(moved.row).toBeLessThanOrEqual(picture.rows);
      expect(moved.column).toBeGreaterThanOrEqual(0);
      expect(moved.column).toBeLessThanOrEqual(picture.columns);
    }));
  });
});

describe('the pieces fetched', () => {
  it('never asks for a whole 24-megapixel frame: at most what covers the screen, at no finer a level than it can show', () => {
    const picture = { rows: 4000, columns: 6000 };
    for (const zoom of [0.1, 0.2, 0.5, 1, 2, 8]) {
      const level = levelFor(zoom, 1, picture);
      const shown = visiblePieces(bounded({ row: 2000, column: 3000, zoom }, picture, screen), level, picture, screen);
      expect(shown.length).toBeLessThanOrEqual((Math.ceil((screen.width * 2) / PIECE_PX) + 1) * (Math.ceil((screen.height * 2) / PIECE_PX) + 1));
      // Level pixels are between one and two to a device pixel unless every source pixel is shown.
      if (level > 0 && level < coarsestLevel(picture)) expect(1 / (zoom * 2 ** level)).toBeLessThan(2);
      expect(1 / (zoom * 2 ** level)).toBeGreaterThanOrEqual(level === 0 ? 0 : 1);
    }
  });

  it('covers every visible source pixel', () => {
    fc.assert(fc.property(views, pictures, (wish, picture) => {
      const view = bounded(wish, picture, screen);
      const level = levelFor(view.zoom, 1, picture);
      const pieces = new Set(visiblePieces(view, level, picture, screen).map((p) => `${p.row}/${p.column}`));
      const span = PIECE_PX * 2 ** level;
      for (const [x, y] of [[1, 1], [400, 300], [799, 599], [1, 599], [799, 1]]) {
        const { row, column } = toSource(view, x, y, screen);
        if (row < 0 || column < 0 || row >= picture.rows || column >= picture.columns) continue;
        expect(pieces.has(`${Math.floor(row / span)}/${Math.floor(column / span)}`)).toBe(true);
      }
    }), { numRuns: 60 });
  });
});
