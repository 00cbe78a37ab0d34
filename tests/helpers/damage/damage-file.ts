import type { WholeFile } from './whole-files.js';

type Random = () => number;
type Damage = (bytes: Buffer, random: Random, other: Buffer) => Buffer;

const upTo = (random: Random, limit: number): number => Math.floor(random() * limit);
/** Headers stand at the start; there damage does most. */
const place = (random: Random, bytes: Buffer): number => upTo(random, random() < 0.6 ? Math.min(600, bytes.length) : bytes.length);
const hugeNumbers = [0xffffffff, 0x7fffffff, 0x80000000, 0x00ffffff, 0xffff0000, 0];

/** Ways files come to harm: cards pulled out, copies cut short, cables, programs that lie, and those who mean it. */
const damages: readonly [name: string, damage: Damage][] = [
  ['cut short', (bytes, random) => bytes.subarray(0, upTo(random, bytes.length))],
  ['bits flipped', (bytes, random) => { for (let n = 1 + upTo(random, 20); n > 0; n--) bytes[place(random, bytes)] ^= 1 << upTo(random, 8); return bytes; }],
  ['bytes lost', (bytes, random) => { const at = place(random, bytes); return Buffer.concat([bytes.subarray(0, at), bytes.subarray(at + 1 + upTo(random, 300))]); }],
  ['bytes added', (bytes, random) => { const at = place(random, bytes); return Buffer.concat([bytes.subarray(0, at), Buffer.alloc(1 + upTo(random, 300), upTo(random, 256)), bytes.subarray(at)]); }],
  ['a stretch overwritten', (bytes, random) => { const at = place(random, bytes); return bytes.fill(random() < 0.5 ? 0 : 255, at, Math.min(bytes.length, at + 1 + upTo(random, 4096))); }],
  ['numbers made huge', (bytes, random) => {
    for (let n = 1 + upTo(random, 4); n > 0; n--) {
      const at = place(random, bytes), value = hugeNumbers[upTo(random, hugeNumbers.length)];
      if (random() < 0.5 && at + 4 <= bytes.length) bytes.writeUInt32BE(value, at);
      else if (at + 2 <= bytes.length) bytes.writeUInt16LE(value & 0xffff, at);
    }
    return bytes;
  }],
  ['another’s middle', (bytes, random, other) => { const at = place(random, bytes); return Buffer.concat([bytes.subarray(0, at), other.subarray(place(random, other))]); }],
  ['another file after it', (bytes, _random, other) => Buffer.concat([bytes, other])],
  ['empty', () => Buffer.alloc(0)],
  ['nothing but noise', (bytes, random) => Buffer.from(Array.from({ length: Math.min(bytes.length, 3000) }, () => upTo(random, 256)))],
];

/** One damaged file, every seventh under another's ending. The same for the same random numbers. */
export function damageFile(whole: readonly WholeFile[], random: Random): { ending: string; bytes: Buffer; what: string } {
  const file = whole[upTo(random, whole.length)], other = whole[upTo(random, whole.length)], [name, damage] = damages[upTo(random, damages.length)];
  const ending = random() < 1 / 7 ? other.ending : file.ending;
  return { ending, bytes: damage(Buffer.from(file.bytes), random, other.bytes), what: `${file.ending} as ${ending}: ${name}` };
}
