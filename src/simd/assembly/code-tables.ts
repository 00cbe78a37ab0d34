// AssemblyScript, compiled together with jpeg.ts: Huffman tables (ITU-T T.81, annex C) laid out so that the next bits lead to what they stand for.

/** Bits looked up at a time; as jpeg-tables.ts has room for. */
export const LOOK: i32 = 11;
/** A code table: look-up of 2^LOOK entries, then for the lengths 0 … 16 the end of their codes (left-justified in 16 bits) and where their symbols begin, then the symbols. */
export const ENDS: usize = 8 << LOOK, BEGINS: usize = ENDS + 68, SYMBOLS: usize = BEGINS + 68;
/**
 * An entry: bits taken in the lowest 6, bytes on in the block's records in the next 10 (for the zeros before a value and itself), the value in the
 * next 16; then the same of a second value after it, whose first 6 bits say what the first one alone takes. No second: 0 on. No bits taken: the first is
 * too long to be looked up, and the second half is its symbol times 256 and the length of its code, or 0 where that is too long as well.
 */
export const ON: i32 = 0x3ff;
/**
 * A component's records by zigzag index: the address where a number is added (u32), what it is multiplied with (f32). They begin 65 records behind a multiple
 * of 256 records, so that one bit of an address says that the last of 64 is reached; an end of block leads as far behind them.
 */
export const RECORD: i32 = 8, FULL: i32 = 128 * RECORD, ENDING: i32 = 64 * RECORD + RECORD;

/** Bits looked up at a time where a block is only walked over, in a table of u16: bits taken in the lowest 6, above them how far on they lead. */
export const SKIP: i32 = 13;
/** What is added to the numbers led on where a block ends, and where so many bits say nothing. */
export const ENDED: i32 = 128, UNKNOWN: i32 = 512;

/** The lowest 16 bits the other way round. */
@inline export function turned(bits: i32): i32 {
  bits = ((bits & 0x5555) << 1) | ((bits >> 1) & 0x5555);
  bits = ((bits & 0x3333) << 2) | ((bits >> 2) & 0x3333);
  bits = ((bits & 0x0f0f) << 4) | ((bits >> 4) & 0x0f0f);
  return ((bits & 0xff) << 8) | ((bits >> 8) & 0xff);
}

/** By the next bits, the first one uppermost: half an entry, and a symbol times 256 with the length of its code. */
const SINGLES: usize = memory.data(4 << LOOK, 16), KNOWN: usize = memory.data(4 << LOOK, 16);

/**
 * Lays a table out whose symbols, and behind the room for all 256 of them how many codes of 1 … 16 bits there are, stand in it already.
 * @param dc symbols are sizes only, and nothing follows; else they are zeros before a value, and its size (T.81, F.1.2)
 */
export function jpegCodes(table: usize, dc: bool): void {
  memory.fill(table, 0, SYMBOLS);
  memory.fill(SINGLES, 0, 4 << LOOK);
  memory.fill(KNOWN, 0, 4 << LOOK);
  for (let length = 1, code = 0, index = 0; length <= 16; length++, code <<= 1) {
    store<i32>(table + (length << 2), index - code, BEGINS);
    for (let i = <i32>load<u8>(table + length, SYMBOLS + 255); i > 0; i--, code++, index++) if (length <= LOOK) {
      const symbol = <i32>load<u8>(table + index, SYMBOLS);
      for (let bits = code << (LOOK - length), end = (code + 1) << (LOOK - length); bits < end; bits++) {
        store<i32>(SINGLES + (bits << 2), single(bits, length, symbol, dc));
        store<i32>(KNOWN + (bits << 2), (symbol << 8) | length);
      }
    }
    store<i32>(table + (length << 2), code << (16 - length), ENDS);
  }
  for (let bits = 0; bits < 1 << LOOK; bits++) {
    const first = load<i32>(SINGLES + (bits << 2)), taken = first & 63, to = table + ((turned(bits) >> (16 - LOOK)) << 3);
    if (taken === 0) { store<i32>(to, load<i32>(KNOWN + (bits << 2)), 4); continue; }
    const second = dc || (first >> 6 & ON) === ENDING ? 0 : load<i32>(SINGLES + (((bits << taken) & ((1 << LOOK) - 1)) << 2)), both = taken + (second & 63);
    // The bits behind those that are known were taken as zeros.
    const fits = (second & 63) > 0 && both <= LOOK;
    store<i32>(to, (first & ~63) | (fits ? both : taken));
    store<i32>(to, (fits ? second & ~63 : 0) | taken, 4);
  }
}

/** A symbol and its value as half an entry; 0 where they take more bits than are looked up, or the symbol is none of a baseline picture. */
function single(bits: i32, length: i32, symbol: i32, dc: bool): i32 {
  const size = dc ? symbol : symbol & 15, run = dc ? 0 : symbol >> 4, spare = LOOK - length - size;
  // A value of no bits stands for the end of the block, or for 16 zeros (T.81, F.1.2.2.1).
  if (spare < 0 || (!dc && size === 0 && run > 0 && run < 15)) return 0;
  const on = !dc && size === 0 && run === 0 ? ENDING : RECORD * (run + 1), value = (bits >> spare) & ((1 << size) - 1);
  return ((size && value < 1 << (size - 1) ? value + 1 - (1 << size) : value) << 16) | (on << 6) | (length + size);
}

/**
 * Writes the table that walks over blocks: as many numbers at once as are told by the next bits.
 * @param more code table of the block's numbers but the first; @param out room for 2^SKIP u16
 */
export function jpegSkips(more: usize, out: usize): void {
  for (let bits = 0; bits < 1 << SKIP; bits++, out += 2) {
    let taken = 0, on = 0, ended = 0;
    while (!ended) {
      const both = load<u64>(more + (<usize>((bits >> taken) & ((1 << LOOK) - 1)) << 3)), alone = <i32>(both >> 32) & 63, further = (<i32>both >> 6) & ON;
      // Bits behind those that are known were taken as zeros.
      if ((<i32>both & 63) === 0 || taken + alone > SKIP) break;
      if (further === ENDING) ended = ENDED;
      else if (on + further / RECORD > 62) break;
      else on += further / RECORD;
      taken += alone;
    }
    store<u16>(out, <u16>(taken ? ((on + ended) << 6) | taken : UNKNOWN << 6));
  }
}

