import { crc32, deflateSync } from 'node:zlib';

/**
 * A PNG of palette colours (W3C PNG, colour type 3, 8 bit), small enough to sit inside a page.
 *
 * @param rows @param columns size in pixels
 * @param indices row by row, each into `palette`
 * @param palette up to 256 colours as red, green, blue, 0 … 255
 */
export function indexedPng(rows: number, columns: number, indices: Uint8Array, palette: readonly (readonly [number, number, number])[]): Buffer {
  if (indices.length !== rows * columns || palette.length > 256) throw new RangeError('picture and palette do not fit');
  const header = Buffer.alloc(13);
  header.writeUInt32BE(columns, 0);
  header.writeUInt32BE(rows, 4);
  header.set([8, 3, 0, 0, 0], 8);
  // Each row is led by its filter, 0: none.
  const lines = Buffer.alloc(rows * (columns + 1));
  for (let row = 0; row < rows; row++) lines.set(indices.subarray(row * columns, (row + 1) * columns), row * (columns + 1) + 1);
  return Buffer.concat([
    Buffer.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]),
    chunk('IHDR', header), chunk('PLTE', Buffer.from(palette.flat())), chunk('IDAT', deflateSync(lines, { level: 9 })), chunk('IEND', Buffer.alloc(0)),
  ]);
}

function chunk(name: string, data: Buffer): Buffer {
  const body = Buffer.concat([Buffer.from(name, 'latin1'), data]);
  const framed = Buffer.alloc(body.length + 8);
  framed.writeUInt32BE(data.length, 0);
  framed.set(body, 4);
  framed.writeUInt32BE(crc32(body), body.length + 4);
  return framed;
}
