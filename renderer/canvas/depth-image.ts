import type { TileMap } from '../../src/contract/report.js';

/**
 * Depth as one pixel a tile, for drawing enlarged. Tiles without a depth stay clear.
 * @param colour from 0 (nearest) to 1 (farthest) to "#rrggbb" or "rgb(r, g, b)"
 */
export function depthImage(tiles: TileMap, range: [number, number], colour: (share: number) => string): HTMLCanvasElement {
  const canvas = document.createElement('canvas');
  canvas.width = tiles.columns;
  canvas.height = tiles.rows;
  const context = canvas.getContext('2d')!;
  const image = context.createImageData(tiles.columns, tiles.rows);
  const table = Array.from({ length: 256 }, (_, i) => rgb(colour(i / 255)));
  for (let t = 0; t < tiles.depthDof.length; t++) {
    const depth = tiles.depthDof[t];
    if (depth === null || tiles.state[t] === 'no-detail') continue;
    const share = Math.min(1, Math.max(0, (depth - range[0]) / Math.max(1e-9, range[1] - range[0])));
    image.data.set([...table[Math.round(share * 255)], 255], t * 4);
  }
  context.putImageData(image, 0, 0);
  return canvas;
}

function rgb(colour: string): [number, number, number] {
  if (colour.startsWith('#')) return [1, 3, 5].map((i) => Number.parseInt(colour.slice(i, i + 2), 16)) as [number, number, number];
  const [r, g, b] = (colour.match(/\d+(\.\d+)?/g) ?? ['0', '0', '0']).map(Number);
  return [r, g, b];
}
