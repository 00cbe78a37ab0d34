import { crc32, deflateSync } from 'node:zlib';

export interface PngLayout {
  rows: number;
  columns: number;
  bitsPerSample: 8 | 16;
  /** 0 grey, 3 palette. */
  colourType: 0 | 3;
}

/** A chunk that goes between header and pixels: palette, scale, text. */
export interface PngChunk { name: string; data: Buffer }

/**
 * A PNG file with one sample a pixel (W3C PNG, 3rd edition).
 *
 * @param samples row by row; 16-bit samples with the high byte first
 * @throws RangeError where samples and layout disagree
 */
export function pngFile(layout: PngLayout, samples: Buffer, chunks: readonly PngChunk[] = []): Buffer {
  const stride = (layout.columns * layout.bitsPerSample) / 8;
  if (samples.length !== layout.rows * stride) throw new RangeError(`expected ${layout.rows * stride} bytes of samples, got ${samples.length}`);
  const header = Buffer.alloc(13);
  header.writeUInt32BE(layout.columns, 0);
  header.writeUInt32BE(layout.rows, 4);
  header.set([layout.bitsPerSample, layout.colourType, 0, 0, 0], 8);
  // Each row is led by its filter, 0: none.
  const lines = Buffer.alloc(layout.rows * (stride + 1));
  for (let row = 0; row < layout.rows; row++) samples.copy(lines, row * (stride + 1) + 1, row * stride, (row + 1) * stride);
  const parts: PngChunk[] = [{ name: 'IHDR', data: header }, ...chunks, { name: 'IDAT', data: deflateSync(lines, { level: 9 }) }, { name: 'IEND', data: Buffer.alloc(0) }];
  return Buffer.concat([Buffer.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]), ...parts.map(framed)]);
}

function framed({ name, data }: PngChunk): Buffer {
  const body = Buffer.concat([Buffer.from(name, 'latin1'), data]);
  const out = Buffer.alloc(body.length + 8);
  out.writeUInt32BE(data.length, 0);
  out.set(body, 4);
  out.writeUInt32BE(crc32(body), body.length + 4);
  return out;
}
