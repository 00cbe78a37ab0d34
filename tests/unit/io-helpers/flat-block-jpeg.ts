/** Chroma subsampling: how many luma blocks a unit has across and down. */
export type Sampling = '4:4:4' | '4:2:2' | '4:2:0' | '4:4:0';
const factors: Record<Sampling, [across: number, down: number]> = { '4:4:4': [1, 1], '4:2:2': [2, 1], '4:2:0': [2, 2], '4:4:0': [1, 2] };

/**
 * A baseline JPEG of flat 8 × 8 blocks (ITU-T T.81, annexes B and F), written here because sharp writes two of these samplings only.
 * Every table is the plainest that is valid: one quantiser of 8, so that a block's one coefficient is its value less 128; DC codes of 4 bits; one AC code.
 *
 * @param luma of each block, row by row, a whole number of units each way
 * @param cb, cr the same everywhere
 */
export function flatBlockJpeg(blockRows: number, blockColumns: number, luma: readonly number[], cb: number, cr: number, sampling: Sampling): Buffer {
  const [across, down] = factors[sampling];
  const bits = new Bits(), before = [0, 0, 0];
  const block = (component: number, value: number): void => {
    const difference = value - 128 - before[component];
    before[component] = value - 128;
    const category = difference === 0 ? 0 : Math.floor(Math.log2(Math.abs(difference))) + 1;
    bits.add(category, 4);
    if (category > 0) bits.add(difference > 0 ? difference : difference + 2 ** category - 1, category);
    bits.add(0, 1);
  };
  for (let row = 0; row < blockRows; row += down) for (let column = 0; column < blockColumns; column += across) {
    for (let i = 0; i < down; i++) for (let j = 0; j < across; j++) block(0, luma[(row + i) * blockColumns + column + j]);
    block(1, cb);
    block(2, cr);
  }
  const counts = (length: number, count: number): number[] => Array.from({ length: 16 }, (_, i) => (i === length - 1 ? count : 0));
  const categories = Array.from({ length: 12 }, (_, i) => i);
  return Buffer.concat([
    Buffer.from([0xff, 0xd8]),
    segment(0xdb, [0, ...new Array<number>(64).fill(8)]),
    segment(0xc0, [8, ...word(8 * blockRows), ...word(8 * blockColumns), 3, 1, 16 * across + down, 0, 2, 0x11, 0, 3, 0x11, 0]),
    segment(0xc4, [0x00, ...counts(4, 12), ...categories]),
    segment(0xc4, [0x10, ...counts(1, 1), 0]),
    segment(0xda, [3, 1, 0, 2, 0, 3, 0, 0, 63, 0]),
    bits.bytes(), Buffer.from([0xff, 0xd9]),
  ]);
}

const word = (value: number): [number, number] => [value >> 8, value & 255];
const segment = (marker: number, content: number[]): Buffer => Buffer.from([0xff, marker, ...word(content.length + 2), ...content]);

class Bits {
  private readonly all: number[] = [];
  add(value: number, count: number): void { for (let i = count - 1; i >= 0; i--) this.all.push((value >> i) & 1); }
  /** Padded with ones; a byte of ones is followed by a zero byte. */
  bytes(): Buffer {
    const out: number[] = [];
    for (let i = 0; i < this.all.length; i += 8) {
      const byte = Array.from({ length: 8 }, (_, j) => this.all[i + j] ?? 1).reduce((sum, bit) => sum * 2 + bit, 0);
      out.push(byte);
      if (byte === 255) out.push(0);
    }
    return Buffer.from(out);
  }
}
