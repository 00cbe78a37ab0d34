import type { TileMap } from '../../contract/report.js';

/**
 * Best frame of every tile. Tiles without detail take it from the nearest tile that has one, so that a picture can be put together without holes.
 * @param without frames that can't be shown; their tiles take one from the nearest that can
 * @returns rows × columns frame indices, or null where no tile has a best frame at all
 */
export function fillBestFrames(tiles: TileMap, without: ReadonlySet<number> = new Set()): Int32Array | null {
  const { rows, columns, bestFrame } = tiles;
  const filled = Int32Array.from(bestFrame, (frame) => (frame === null || without.has(frame) ? -1 : frame));
  let front = [...filled.keys()].filter((tile) => filled[tile] >= 0);
  if (front.length === 0) return null;
  while (front.length > 0) {
    const next: number[] = [];
    for (const tile of front) {
      const row = Math.floor(tile / columns), column = tile % columns;
      const neighbours = [row > 0 ? tile - columns : -1, row < rows - 1 ? tile + columns : -1, column > 0 ? tile - 1 : -1, column < columns - 1 ? tile + 1 : -1];
      for (const neighbour of neighbours) {
        if (neighbour < 0 || filled[neighbour] >= 0) continue;
        filled[neighbour] = filled[tile];
        next.push(neighbour);
      }
    }
    front = next;
  }
  return filled;
}
