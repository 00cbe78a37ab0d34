import { pngFile } from '../png-file.js';

/**
 * A PNG of palette colours, small enough to sit inside a page.
 *
 * @param rows @param columns size in pixels
 * @param indices row by row, each into `palette`
 * @param palette up to 256 colours as red, green, blue, 0 … 255
 */
export function indexedPng(rows: number, columns: number, indices: Uint8Array, palette: readonly (readonly [number, number, number])[]): Buffer {
  if (palette.length > 256) throw new RangeError(`a palette holds 256 colours, got ${palette.length}`);
  return pngFile({ rows, columns, bitsPerSample: 8, colourType: 3 }, Buffer.from(indices), [{ name: 'PLTE', data: Buffer.from(palette.flat()) }]);
}
