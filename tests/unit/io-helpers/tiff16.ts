/** A tag's number, its type (2 text, 3 short, 4 long, 5 ratio) and its values; ratios take two values each. */
type Entry = [tag: number, type: 2 | 3 | 4 | 5, values: number[] | string];

const bytesOf = { 2: 1, 3: 2, 4: 4, 5: 4 } as const;
const HEADER = 8;

/**
 * Uncompressed TIFF of 16-bit RGB samples with camera data, little endian (TIFF 6.0, sections 2 and 6; EXIF 2.3),
 * written here because sharp writes 8 bits and no camera data.
 */
export function tiff16(columns: number, rows: number, samples: Uint16Array, camera?: { model: string; fNumber: [number, number]; taken: string }): Buffer {
  const pixels = Buffer.from(samples.buffer, samples.byteOffset, samples.byteLength);
  const exifAt = HEADER + pixels.length;
  const exif = camera ? directory([[0x829d, 5, camera.fNumber], [0x9003, 2, `${camera.taken}\0`]], exifAt) : Buffer.alloc(0);
  const mainAt = exifAt + exif.length;
  const main = directory([
    [256, 4, [columns]], [257, 4, [rows]], [258, 3, [16, 16, 16]], [259, 3, [1]], [262, 3, [2]],
    ...(camera ? [[272, 2, `${camera.model}\0`] satisfies Entry] : []),
    [273, 4, [HEADER]], [277, 3, [3]], [278, 4, [rows]], [279, 4, [pixels.length]], [284, 3, [1]],
    ...(camera ? [[34665, 4, [exifAt]] satisfies Entry] : []),
  ], mainAt);
  const header = Buffer.from('II*\0\0\0\0\0', 'latin1');
  header.writeUInt32LE(mainAt, 4);
  return Buffer.concat([header, pixels, exif, main]);
}

/** A directory followed by the values too long to stand in it. */
function directory(entries: Entry[], at: number): Buffer {
  const table = Buffer.alloc(2 + 12 * entries.length + 4);
  const longer: Buffer[] = [];
  let longerAt = at + table.length;
  table.writeUInt16LE(entries.length, 0);
  entries.forEach(([tag, type, values], i) => {
    const value = packed(type, values), entry = 2 + 12 * i;
    table.writeUInt16LE(tag, entry);
    table.writeUInt16LE(type, entry + 2);
    table.writeUInt32LE(type === 5 ? values.length / 2 : values.length, entry + 4);
    if (value.length <= 4) { value.copy(table, entry + 8); return; }
    table.writeUInt32LE(longerAt, entry + 8);
    longer.push(value);
    longerAt += value.length;
  });
  return Buffer.concat([table, ...longer]);
}

function packed(type: Entry[1], values: number[] | string): Buffer {
  // Values start at even places.
  if (typeof values === 'string') return Buffer.from(values.length % 2 === 0 || values.length <= 4 ? values : `${values}\0`, 'latin1');
  const size = bytesOf[type], buffer = Buffer.alloc(size * values.length);
  values.forEach((value, i) => buffer.writeUIntLE(value, i * size, size));
  return buffer.length > 4 && buffer.length % 2 === 1 ? Buffer.concat([buffer, Buffer.alloc(1)]) : buffer;
}
