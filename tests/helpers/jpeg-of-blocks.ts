/** Blocks of one component as numbers 0 … 63 in zigzag order, quantised. */
export type BlockOf = (component: number, row: number, column: number) => readonly number[];

/** Row and column of each index of the zigzag order, as T.81 draws it in figure 5: along the diagonals, up and down in turn. */
export const zigzagOrder = Array.from({ length: 64 }, (_, i) => [i >> 3, i & 7] as const)
  .sort(([a, b], [c, d]) => a + b - c - d || ((a + b) % 2 ? a - c : c - a));

/**
 * A baseline JPEG file of given blocks (ITU-T T.81), with plain Huffman tables in which all codes are equally long.
 * @param sampling luma blocks across and down in a group, one block each of the other components
 * @param restart groups between restart markers, 0: none
 */
export function jpegOfBlocks(rows: number, columns: number, components: 1 | 3, [across, down]: readonly [number, number], restart: number, quantiser: readonly number[], blockOf: BlockOf): Buffer {
  const acSymbols = [0x00, 0xf0, ...Array.from({ length: 16 }, (_, run) => Array.from({ length: 10 }, (_, size) => (run << 4) | (size + 1))).flat()];
  const segment = (marker: number, ...bytes: number[]): number[] => [0xff, marker, (bytes.length + 2) >> 8, (bytes.length + 2) & 255, ...bytes];
  const counts = (length: number, count: number): number[] => Array.from({ length: 16 }, (_, i) => (i + 1 === length ? count : 0));
  const head = [
    0xff, 0xd8, ...segment(0xdb, 0, ...quantiser), ...segment(0xc0, 8, rows >> 8, rows & 255, columns >> 8, columns & 255, components, ...Array.from({ length: components }, (_, c) => [c + 1, c ? 0x11 : (across << 4) | down, 0]).flat()),
    ...segment(0xc4, 0x00, ...counts(4, 12), ...Array.from({ length: 12 }, (_, size) => size)), ...segment(0xc4, 0x10, ...counts(8, acSymbols.length), ...acSymbols),
    ...(restart ? segment(0xdd, restart >> 8, restart & 255) : []), ...segment(0xda, components, ...Array.from({ length: components }, (_, c) => [c + 1, 0]).flat(), 0, 63, 0),
  ];
  const data: number[] = [];
  let bits = '';
  const flush = (): void => {
    bits = bits.padEnd(Math.ceil(bits.length / 8) * 8, '1');
    for (let i = 0; i < bits.length; i += 8) { const byte = parseInt(bits.slice(i, i + 8), 2); data.push(byte); if (byte === 0xff) data.push(0); }
    bits = '';
  };
  const size = (value: number): number => (value === 0 ? 0 : Math.floor(Math.log2(Math.abs(value))) + 1);
  const put = (value: number, length: number): void => { if (length) bits += value.toString(2).padStart(length, '0'); };
  const putValue = (value: number): void => put(value < 0 ? value + 2 ** size(value) - 1 : value, size(value));
  const last = [0, 0, 0];
  const putBlock = (component: number, block: readonly number[]): void => {
    const difference = block[0] - last[component];
    last[component] = block[0];
    put(size(difference), 4);
    putValue(difference);
    let zeros = 0;
    for (let k = 1; k < 64; k++) {
      if (block[k] === 0) { zeros++; continue; }
      for (; zeros > 15; zeros -= 16) put(acSymbols.indexOf(0xf0), 8);
      put(acSymbols.indexOf((zeros << 4) | size(block[k])), 8);
      putValue(block[k]);
      zeros = 0;
    }
    if (zeros) put(acSymbols.indexOf(0x00), 8);
  };
  const [h, v] = components === 1 ? [1, 1] : [across, down], groupsAcross = Math.ceil(columns / (8 * h)), groups = groupsAcross * Math.ceil(rows / (8 * v));
  for (let group = 0; group < groups; group++) {
    if (restart && group && group % restart === 0) { flush(); data.push(0xff, 0xd0 + ((group / restart - 1) & 7)); last.fill(0); }
    const row = Math.floor(group / groupsAcross), column = group % groupsAcross;
    for (let y = 0; y < v; y++) for (let x = 0; x < h; x++) putBlock(0, blockOf(0, row * v + y, column * h + x));
    for (let c = 1; c < components; c++) putBlock(c, blockOf(c, row, column));
  }
  flush();
  return Buffer.from([...head, ...data, 0xff, 0xd9]);
}
