/** A colour profile of three primaries and one exponent (ICC.1:2001-04, 6.3: matrix display profile). */
export function matrixProfile(name: string, primaries: readonly [red: number[], green: number[], blue: number[]], gamma: number): Buffer {
  const s15 = (value: number): Buffer => { const bytes = Buffer.alloc(4); bytes.writeInt32BE(Math.round(value * 65536)); return bytes; };
  const xyz = (value: readonly number[]): Buffer => Buffer.concat([Buffer.from('XYZ \0\0\0\0', 'latin1'), ...value.map(s15)]);
  const curve = Buffer.concat([Buffer.from('curv\0\0\0\0\0\0\0\x01', 'latin1'), Buffer.from([Math.floor(gamma), Math.round((gamma % 1) * 256)]), Buffer.alloc(2)]);
  const description = Buffer.alloc(12 + name.length + 1 + 78 + ((4 - ((name.length + 91) % 4)) % 4));
  description.write('desc', 'latin1');
  description.writeUInt32BE(name.length + 1, 8);
  description.write(name, 12, 'latin1');
  const tags: [string, Buffer][] = [['desc', description], ['cprt', Buffer.from('text\0\0\0\0none\0\0\0\0', 'latin1')], ['wtpt', xyz([0.9642, 1, 0.8249])],
    ['rXYZ', xyz(primaries[0])], ['gXYZ', xyz(primaries[1])], ['bXYZ', xyz(primaries[2])], ['rTRC', curve], ['gTRC', curve], ['bTRC', curve]];
  const head = Buffer.alloc(128);
  const table = Buffer.alloc(4 + 12 * tags.length);
  table.writeUInt32BE(tags.length);
  let at = head.length + table.length;
  tags.forEach(([tag, content], i) => {
    table.write(tag, 4 + 12 * i, 'latin1');
    table.writeUInt32BE(at, 8 + 12 * i);
    table.writeUInt32BE(content.length, 12 + 12 * i);
    at += content.length;
  });
  head.writeUInt32BE(at, 0);
  head.writeUInt32BE(0x02100000, 8);
  head.write('mntrRGB XYZ ', 12, 'latin1');
  head.write('acsp', 36, 'latin1');
  [0.9642, 1, 0.8249].forEach((value, i) => s15(value).copy(head, 68 + 4 * i));
  return Buffer.concat([head, table, ...tags.map(([, content]) => content)]);
}
