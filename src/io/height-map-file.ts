import type { HeightMap } from './height-map.js';
import { pngFile } from './png-file.js';

/** A 16-bit grey PNG with the scale as text and as pixels per metre of the subject. */
export function heightMapPng(map: HeightMap): Buffer {
  const samples = Buffer.alloc(2 * map.levels.length);
  map.levels.forEach((level, i) => samples.writeUInt16BE(level, 2 * i));
  const chunks = [{ name: 'tEXt', data: Buffer.from(`Description\0${map.description}`, 'latin1') }];
  if (map.pixelUm !== null) {
    const size = Buffer.alloc(9);
    size.writeUInt32BE(Math.round(1e6 / map.pixelUm), 0);
    size.writeUInt32BE(Math.round(1e6 / map.pixelUm), 4);
    size[8] = 1; // per metre
    chunks.unshift({ name: 'pHYs', data: size });
  }
  return pngFile({ rows: map.rows, columns: map.columns, bitsPerSample: 16, colourType: 0 }, samples, chunks);
}

/** Field types of TIFF 6.0. */
const ASCII = 2, SHORT = 3, LONG = 4, RATIONAL = 5;

/** A 16-bit grey baseline TIFF (TIFF 6.0, section 4), not compressed, with the scale in ImageDescription and the resolution on the subject. */
export function heightMapTiff(map: HeightMap): Buffer {
  const text = Buffer.from(`${map.description}\0`, 'latin1');
  const perCm = map.pixelUm === null ? null : [Math.round(1e7 / map.pixelUm), 1000] as const;
  const fieldCount = perCm === null ? 10 : 13;
  const textAt = 8 + 2 + 12 * fieldCount + 4;
  const ratioAt = textAt + text.length + (text.length % 2);
  const pixelsAt = ratioAt + (perCm === null ? 0 : 8);
  const fields: [tag: number, type: number, count: number, value: number][] = [
    [256, LONG, 1, map.columns], [257, LONG, 1, map.rows], [258, SHORT, 1, 16], [259, SHORT, 1, 1], [262, SHORT, 1, 1],
    [270, ASCII, text.length, textAt], [273, LONG, 1, pixelsAt], [277, SHORT, 1, 1], [278, LONG, 1, map.rows], [279, LONG, 1, 2 * map.levels.length],
  ];
  if (perCm !== null) fields.push([282, RATIONAL, 1, ratioAt], [283, RATIONAL, 1, ratioAt], [296, SHORT, 1, 3]);
  const file = Buffer.alloc(pixelsAt + 2 * map.levels.length);
  file.write('II', 'latin1');
  file.writeUInt16LE(42, 2);
  file.writeUInt32LE(8, 4);
  file.writeUInt16LE(fields.length, 8);
  fields.forEach(([tag, type, count, value], i) => {
    const at = 10 + 12 * i;
    file.writeUInt16LE(tag, at);
    file.writeUInt16LE(type, at + 2);
    file.writeUInt32LE(count, at + 4);
    if (type === SHORT) file.writeUInt16LE(value, at + 8); else file.writeUInt32LE(value, at + 8);
  });
  text.copy(file, textAt);
  if (perCm !== null) { file.writeUInt32LE(perCm[0], ratioAt); file.writeUInt32LE(perCm[1], ratioAt + 4); }
  map.levels.forEach((level, i) => file.writeUInt16LE(level, pixelsAt + 2 * i));
  return file;
}
