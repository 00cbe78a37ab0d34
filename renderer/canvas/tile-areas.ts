import type { TileMap } from '../../src/contract/report.js';

/** A path over a set of tiles, in tile units (one unit a tile): runs along rows. */
export interface TileArea { fill: Path2D; count: number }

export function tileArea(tiles: TileMap, chosen: Iterable<number>): TileArea {
  const inside = new Uint8Array(tiles.rows * tiles.columns);
  let count = 0;
  for (const tile of chosen) { inside[tile] = 1; count++; }
  const fill = new Path2D();
  const has = (row: number, column: number): boolean => row >= 0 && column >= 0 && row < tiles.rows && column < tiles.columns && inside[row * tiles.columns + column] === 1;
  for (let row = 0; row < tiles.rows; row++) {
    for (let column = 0; column < tiles.columns; column++) {
      if (!has(row, column)) continue;
      let end = column;
      while (has(row, end + 1)) end++;
      fill.rect(column, row, end + 1 - column, 1);
      column = end;
    }
  }
  return { fill, count };
}
