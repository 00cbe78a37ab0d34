// AssemblyScript, compiled to SIMD WebAssembly together with filters.ts: baseline JPEG (ITU-T T.81), straight to the root of the
// light of its pixels, or of pixels averaged two by two. It knows nothing of markers: src/image/jpeg-layout.ts reads those, src/simd/jpeg-rows.ts
// lays tables and stream out in memory. Whatever is not exactly as the standard says is refused, for a decoder that can say what is wrong.
// Over 200 lines: the compiler inlines across these functions only where they stand in one file.

import { BEGINS, ENDED, ENDING, ENDS, FULL, LOOK, ON, RECORD, SKIP, SYMBOLS, turned } from './code-tables';
import { addCells } from './filters';
import { less, plus } from './fused';
import { isDark, rootOf, rootWithin } from './light';

/** A component in the job: code tables, records, last DC value, what a step of it is in a block's mean, table to walk over blocks. */
const COMPONENT_BYTES: usize = 32, COMPONENTS: usize = 128;

/** Rows of luma in the strip plane that make no whole square yet, rows of groups read, rows of pixels made. */
let below: i32 = 0, groupRows: i32 = 0, made: i32 = 0;
let job: usize = 0, place: usize = 0, window: u64 = 0, held: i32 = 0, segment: i32 = 0, left: i32 = 0;

/**
 * Takes the stuffing out of a scan's bytes, in place, and turns every byte's bits round: the first bit of the stream is then the lowest of a number
 * loaded from there.
 *
 * @param from first byte of the entropy-coded data; @param end behind the file's last byte
 * @param ends where the ends of the segments between restart markers are put, as addresses (u32); @param most room for so many
 * @returns number of segments; 0 where the data do not end as they should
 */
export function jpegStream(from: usize, end: usize, ends: usize, most: i32): i32 {
  const start = from, mark = i8x16.splat(-1);
  let to = from, count = 0;
  for (;;) {
    // Sixteen bytes at a time where none of them is a mark.
    while (from + 16 <= end) {
      const bytes = v128.load(from), marks = i8x16.bitmask(i8x16.eq(bytes, mark));
      if (marks) { const plain = ctz(marks); memory.copy(to, from, plain); from += plain; to += plain; break; }
      v128.store(to, bytes);
      from += 16; to += 16;
    }
    if (from + 2 > end) return 0;
    const byte = load<u8>(from);
    if (byte !== 0xff) { store<u8>(to, byte); from++; to++; continue; }
    const next = load<u8>(from, 1);
    from += 2;
    if (next === 0) { store<u8>(to, 0xff); to++; continue; }
    if (count === most) return 0;
    store<u32>(ends + (count << 2), <u32>to);
    if (next === 0xd9) break;
    if (next !== 0xd0 + (count & 7)) return 0;
    count++;
  }
  const low = i8x16.splat(15), upper = i8x16(0, -128, 64, -64, 32, -96, 96, -32, 16, -112, 80, -48, 48, -80, 112, -16), lower = i8x16(0, 8, 4, 12, 2, 10, 6, 14, 1, 9, 5, 13, 3, 11, 7, 15);
  for (let at = start; at < to; at += 16) {
    const bytes = v128.load(at);
    v128.store(at, v128.or(i8x16.swizzle(upper, v128.and(bytes, low)), i8x16.swizzle(lower, i8x16.shr_u(bytes, 4))));
  }
  return count + 1;
}

/**
 * Starts on a picture. The job's numbers (i32): 0 start of the stream, 1 ends of segments,
 * 2 their number, 3 groups between restarts (0: none), 4 groups across, 5 components, 6 and 7 luma blocks across and down in a group,
 * 8 strip plane, 9 its width in pixels, 10 room for one block, 11 groups in all, 12 room for one number for each group across, 13 pixels along a block's edge: 8, or 4 of those
 * averaged two by two, 14 whether colours are decoded for each pixel of theirs, 15 their strip planes then, blue and red, 8 × (8 × groups across), 16 and 17 rows and columns of pixels,
 * 18 edge of a square of the strip plane that makes one, 19 room for a row that says how bright the brightest colour of each pixel is (0: by groups of blocks), 20 for sums of
 * columns and 21 for a row of squares, 22 for sums of the root of the light of columns; components from byte 128 on.
 */
export function jpegStart(at: usize): void {
  job = at;
  segment = -1;
  left = 0;
  below = 0;
  groupRows = 0;
  made = 0;
}

/**
 * Root of the light of rows of pixels, up to a row at least, row r at r modulo `ring`; a part of them is in the strip plane alone. Brightness and clipped pixels are added up in f64 cells.
 * @returns rows that are there; −1 where the data are damaged
 */
export function jpegFill(toRow: i32, out: usize, ring: i32, cell: i32, cellRows: i32, cellColumns: i32, brightness: usize, clipped: usize): i32 {
  const rows = load<i32>(job, 64), columns = load<i32>(job, 68), side = load<i32>(job, 72), brightest = <usize>load<u32>(job, 76), sums = <usize>load<u32>(job, 80), squares = <usize>load<u32>(job, 84), light = <usize>load<u32>(job, 88);
  const stride = load<i32>(job, 36) << 2, plane = <usize>load<u32>(job, 32), across = load<i32>(job, 16), down = load<i32>(job, 44) / across, stripRows = load<i32>(job, 28) * load<i32>(job, 52);
  while (groupRows < down && (toRow === rows || made < toRow)) {
    if (!readGroups()) return -1;
    groupRows++;
    const there = below + stripRows;
    let row = 0;
    for (; row + side <= there && made < rows; row += side, made++) {
      const cells = (min(cellRows - 1, made / cell) * cellColumns) << 3, to = out + (((made % ring) * columns) << 2);
      if (!brightest) rootByGroups(row, columns, to, light, cell, cellColumns, clipped + cells);
      else {
        if (squares) averageSquares(row, side, columns, sums, squares, brightest);
        else brightestColours(row, columns, brightest);
        rootByPixels(squares ? squares : plane + row * stride, brightest, columns, to, light, cell, cellColumns, clipped + cells);
      }
      // Added up by cells once all rows of some are there.
      if ((made + 1) % cell === 0 || made + 1 === rows) addCells(light, columns, cell, cellColumns, brightness + cells);
    }
    below = (there - row) % side;
    if (below) memory.copy(plane, plane + (there - below) * stride, below * stride);
  }
  return toRow === rows && !isEnded() ? -1 : made;
}

function nextSegment(): void {
  segment++;
  const groups = load<i32>(job, 12), all = load<i32>(job, 44);
  left = groups ? min(groups, all - segment * groups) : all;
  place = <usize>load<u32>(segment ? <usize>load<u32>(job, 4) + ((segment - 1) << 2) : job);
  window = 0;
  held = 0;
  for (let i = 0, n = load<i32>(job, 20); i < n; i++) store<i32>(job + COMPONENTS + <usize>i * COMPONENT_BYTES, 0, 12);
}

/** Where the segment ends. */
@inline function segmentEnd(): usize { return <usize>load<u32>(<usize>load<u32>(job, 4) + (segment << 2)); }

/** Whether the segment has been read to its last byte, and no further: fewer than eight bits of it are left. */
function atEnd(): bool { return place - <usize>(held >> 3) === segmentEnd(); }

/**
 * Decodes one row of block groups into the strip plane, behind the rows kept: luma alone. Colours go to planes of their own where the job asks for them; else it is kept how much brighter
 * than luma the brightest of red, green and blue is on average.
 * @returns false where the data are damaged
 */
function readGroups(): bool {
  const across = load<i32>(job, 16), components = load<i32>(job, 20), h = load<i32>(job, 24), v = load<i32>(job, 28);
  const stride = load<i32>(job, 36) << 2, planes = <usize>load<u32>(job, 32) + below * stride, room = <usize>load<u32>(job, 40), tints = <usize>load<u32>(job, 48), edge = load<i32>(job, 52);
  const luma = job + COMPONENTS, blue = luma + COMPONENT_BYTES, red = blue + COMPONENT_BYTES;
  for (let group = 0; group < across; group++) {
    if (left === 0) {
      if (segment >= 0 && !atEnd()) return false;
      if (segment + 1 === load<i32>(job, 8)) return false;
      nextSegment();
    }
    left--;
    for (let y = 0; y < v; y++) for (let x = 0; x < h; x++) {
      const last = readBlock(luma);
      if (last < 0) return false;
      const to = planes + (((group * h + x) * edge) << 2) + y * edge * stride;
      if (edge === 4) block4(room, last, to, stride);
      else block8(room, last, 128, to, stride);
    }
    if (components === 3 && load<i32>(job, 56)) {
      const colours = <usize>load<u32>(job, 60) + (group << 5), row = across << 5;
      for (let c = 0; c < 2; c++) {
        const last = readColour(c ? red : blue);
        if (last < 0) return false;
        block8(room, last, 0, colours + c * (row << 3), row);
      }
    } else if (components === 3) {
      if (!(skipBlock(blue) && skipBlock(red))) return false;
      const b = <f32>load<i32>(blue, 12) * load<f32>(blue, 16), r = <f32>load<i32>(red, 12) * load<f32>(red, 16);
      store<f32>(tints + (group << 2), max(max(RED_OF * r, BLUE_OF * b), -(GREEN_OF_BLUE * b + GREEN_OF_RED * r)));
    }
    // Damaged data may lead beyond the end: never far.
    if (place > segmentEnd() + 16) return false;
  }
  return true;
}

/** Whether all segments have been read, each to its end. */
function isEnded(): bool { return left === 0 && segment + 1 === load<i32>(job, 8) && atEnd(); }

/** The first half of an entry, by the standard's own way, for what is too long to be looked up: `bits` holds 32 at least. @param known the second half; 0 returned: damaged */
function longEntry(table: usize, bits: u64, known: i32, dc: bool): i32 {
  let length = known & 255, symbol = known >> 8;
  if (length === 0) {
    const ahead = turned(<i32>bits);
    length = LOOK + 1;
    while (ahead >= load<i32>(table + (length << 2), ENDS)) if (++length > 16) return 0;
    symbol = load<u8>(table + load<i32>(table + (length << 2), BEGINS) + (ahead >> (16 - length)), SYMBOLS);
  }
  const size = dc ? symbol : symbol & 15, run = dc ? 0 : symbol >> 4, on = ((run + 1) * RECORD) << 6;
  // T.81, F.1.2.2.1: a value of no bits stands for the end of the block, or for 16 zeros.
  if (size === 0) return dc || run === 15 ? on | length : run === 0 ? (ENDING << 6) | length : 0;
  const value = turned(<i32>(bits >> <u64>length)) >> (16 - size);
  return ((value < 1 << (size - 1) ? value + 1 - (1 << size) : value) << 16) | on | (length + size);
}

/** Adds an entry's value where its record says. */
@inline function addValue(entry: i32, record: usize): void {
  const to = <usize>load<u32>(record);
  store<f32>(to, load<f32>(to) + <f32>(entry >> 16) * load<f32>(record, 4));
}

/** Bits of the stream that are held, as many whole bytes as there is room for: 56 bits or more. */
@inline function fill(): void { window |= load<u64>(place) << held; place += (63 - held) >> 3; held |= 56; }

@inline function drop(entry: i32): void { window >>= <u64>entry; held -= entry & 63; }

/** Reads a block's first number, a difference to the one before. @returns false: damaged */
@inline function readFirst(component: usize): bool {
  const codes = <usize>load<u32>(component);
  fill();
  const both = load<u64>(codes + (<usize>(window & ((1 << LOOK) - 1)) << 3));
  let entry = <i32>both;
  if ((entry & 63) === 0 && !(entry = longEntry(codes, window, <i32>(both >> 32), true))) return false;
  drop(entry);
  store<i32>(component, load<i32>(component, 12) + (entry >> 16), 12);
  return true;
}

/**
 * Reads one block: its numbers are added, times their factors, where their records say; the room holds zeros before.
 * @returns zigzag index of the last number, −1: damaged
 */
@inline function walkBlock(component: usize): i32 {
  const more = <usize>load<u32>(component, 4), records = <usize>load<u32>(component, 8), mask: u64 = (1 << LOOK) - 1;
  if (!readFirst(component)) return -1;
  store<f32>(load<u32>(records), <f32>load<i32>(component, 12) * load<f32>(records, 4));
  // Of the count its lowest six bits tell alone: what stands above them in an entry need not be cut off.
  let at = place, bits = window, count = held, record = records;
  do {
    bits |= load<u64>(at) << count; at += (~count & 63) >> 3; count |= 56;
    // Three times before more bits are wanted: each waits for the one before alone.
    for (let i = 0; i < 3; i++) {
      const both = load<u64>(more + (<usize>(bits & mask) << 3)), next = <i32>(both >> 32);
      let entry = <i32>both;
      if ((entry & 63) === 0) {
        if (!(entry = longEntry(more, bits, next, false))) return -1;
        bits >>= <u64>entry; count -= entry;
        record += (entry >> 6) & ON;
        addValue(entry, record);
        break;
      }
      record += (entry >> 6) & ON;
      addValue(entry, record);
      // What follows the last value belongs to the next block.
      if (record & FULL) { bits >>= <u64>next; count -= next; break; }
      bits >>= both; count -= entry;
      record += (next >> 6) & ON;
      addValue(next, record);
      if (record & FULL) break;
    }
  } while (!(record & FULL));
  place = at; window = bits; held = count & 63;
  const last = <i32>(record - records) / RECORD;
  return last === 63 ? 63 : last >= 65 && last < 128 ? last - 65 : -1;
}

/**
 * Walks over one block, of which only the first number is read.
 * @returns false: damaged
 */
function skipBlock(component: usize): bool {
  const more = <usize>load<u32>(component, 4), skips = <usize>load<u32>(component, 20), mask: u64 = (1 << SKIP) - 1, looked: u64 = (1 << LOOK) - 1;
  if (!readFirst(component)) return false;
  let at = place, bits = window, count = held, index = 0;
  while (index < 63) {
    bits |= load<u64>(at) << count; at += (~count & 63) >> 3; count |= 56;
    // Four times before more bits are wanted.
    for (let i = 0; i < 4; i++) {
      const few = <i32>load<u16>(skips + (<usize>(bits & mask) << 1)), next = index + (few >> 6);
      if (next < 63) { index = next; bits >>= <u64>few; count -= few; continue; }
      if (next >= ENDED && next - ENDED < 63) { place = at; window = bits >> <u64>few; held = (count - few) & 63; return true; }
      // One number alone: with the last of a block another block's bits may have been taken.
      bits |= load<u64>(at) << count; at += (~count & 63) >> 3; count |= 56;
      const both = load<u64>(more + (<usize>(bits & looked) << 3));
      let entry = <i32>both, taken = <i32>(both >> 32) & 63;
      if ((entry & 63) === 0) {
        if (!(entry = longEntry(more, bits, <i32>(both >> 32), false))) return false;
        taken = entry & 63;
      }
      bits >>= <u64>taken; count -= taken;
      const on = (entry >> 6) & ON;
      index += on / RECORD;
      if (on === ENDING || index === 63) { place = at; window = bits; held = count & 63; return true; }
      if (index > 63) return false;
      break;
    }
  }
  return false;
}

/** Luma's, called from one place alone: the compiler then puts it there. */
function readBlock(component: usize): i32 { return walkBlock(component); }
function readColour(component: usize): i32 { return walkBlock(component); }

/** Cosines of multiples of π/16, four of each: the engine makes a constant vector anew wherever it stands, in three instructions, and loads one in one. */
const COSINES: usize = memory.data<f32>([
  0.92387953, 0.92387953, 0.92387953, 0.92387953, 0.70710678, 0.70710678, 0.70710678, 0.70710678, 0.38268343, 0.38268343, 0.38268343, 0.38268343,
  0.98078528, 0.98078528, 0.98078528, 0.98078528, 0.83146961, 0.83146961, 0.83146961, 0.83146961, 0.55557023, 0.55557023, 0.55557023, 0.55557023, 0.19509032, 0.19509032, 0.19509032, 0.19509032], 16);
const C2: usize = 0, C4: usize = 16, C6: usize = 32, C1: usize = 48, C3: usize = 64, C5: usize = 80, C7: usize = 96;

@inline function times(cosine: usize, v: v128): v128 { return f32x4.mul(v128.load(COSINES + cosine), v); }
@inline function plusTimes(cosine: usize, v: v128, w: v128): v128 { return plus(v128.load(COSINES + cosine), v, w); }
@inline function lessTimes(cosine: usize, v: v128, w: v128): v128 { return less(v128.load(COSINES + cosine), v, w); }

/**
 * A block of 4 × 4 averages from its 4 × 4 frequencies (those of 8 × 8 folded: the mean of two neighbours takes frequency u and 8 − u to the same wave).
 * Empties the room.
 */
function block4(room: usize, last: i32, to: usize, stride: i32): void {
  const zero = f32x4.splat(0);
  if (last === 0) {
    const all = f32x4.splat(load<f32>(room) + 128);
    store<f32>(room, 0);
    v128.store(to, all); v128.store(to + stride, all); v128.store(to + 2 * stride, all); v128.store(to + 3 * stride, all);
    return;
  }
  const a = f32x4.add(v128.load(room), f32x4(128, 0, 0, 0)), b = v128.load(room, 16), c = v128.load(room, 32), d = v128.load(room, 48);
  v128.store(room, zero); v128.store(room, zero, 16); v128.store(room, zero, 32); v128.store(room, zero, 48);
  const p = plusTimes(C4, c, a), q = lessTimes(C4, c, a), r = plusTimes(C2, b, times(C6, d)), s = lessTimes(C2, d, times(C6, b));
  const w = f32x4.add(p, r), x = f32x4.add(q, s), y = f32x4.sub(q, s), z = f32x4.sub(p, r);
  down4(w, x, y, z, to, stride);
}

/** Turns four columns round and transforms along them; rows go to `to`. */
@inline function down4(w: v128, x: v128, y: v128, z: v128, to: usize, stride: i32): void {
  const wx = v128.shuffle<f32>(w, x, 0, 4, 1, 5), yz = v128.shuffle<f32>(y, z, 0, 4, 1, 5), wxHigh = v128.shuffle<f32>(w, x, 2, 6, 3, 7), yzHigh = v128.shuffle<f32>(y, z, 2, 6, 3, 7);
  const a = v128.shuffle<f32>(wx, yz, 0, 1, 4, 5), b = v128.shuffle<f32>(wx, yz, 2, 3, 6, 7), c = v128.shuffle<f32>(wxHigh, yzHigh, 0, 1, 4, 5), d = v128.shuffle<f32>(wxHigh, yzHigh, 2, 3, 6, 7);
  const p = plusTimes(C4, c, a), q = lessTimes(C4, c, a), r = plusTimes(C2, b, times(C6, d)), s = lessTimes(C2, d, times(C6, b));
  v128.store(to, f32x4.add(p, r)); v128.store(to + stride, f32x4.add(q, s)); v128.store(to + 2 * stride, f32x4.sub(q, s)); v128.store(to + 3 * stride, f32x4.sub(p, r));
}

/** Two blocks of 8 × 8. */
const HALFWAY: usize = memory.data(512, 16), TURNED: usize = HALFWAY + 256;

/** A whole block of 8 × 8 (T.81, A.3.3), its numbers weighted already, around a middle value. Empties the room. */
function block8(room: usize, last: i32, middle: f32, to: usize, stride: i32): void {
  store<f32>(room, load<f32>(room) + middle);
  if (last === 0) {
    const all = v128.load32_splat(room);
    store<f32>(room, 0);
    for (let i = 0; i < 8; i++) { v128.store(to, all); v128.store(to, all, 16); to += stride; }
    return;
  }
  waves8(room, 32, HALFWAY, 32);
  waves8(room + 16, 32, HALFWAY + 16, 32);
  memory.fill(room, 0, 256);
  for (let x: usize = 0; x < 256; x += 128) for (let v: usize = 0; v < 32; v += 16) turn4(HALFWAY + x + v, TURNED + (v << 3) + (x >> 3));
  waves8(TURNED, 32, to, stride);
  waves8(TURNED + 16, 32, to + 16, stride);
}

/** Four times four numbers the other way round; lines are 32 bytes apart. */
@inline function turn4(from: usize, to: usize): void {
  const w = v128.load(from), x = v128.load(from, 32), y = v128.load(from, 64), z = v128.load(from, 96);
  const wx = v128.shuffle<f32>(w, x, 0, 4, 1, 5), yz = v128.shuffle<f32>(y, z, 0, 4, 1, 5), wxHigh = v128.shuffle<f32>(w, x, 2, 6, 3, 7), yzHigh = v128.shuffle<f32>(y, z, 2, 6, 3, 7);
  v128.store(to, v128.shuffle<f32>(wx, yz, 0, 1, 4, 5)); v128.store(to, v128.shuffle<f32>(wx, yz, 2, 3, 6, 7), 32);
  v128.store(to, v128.shuffle<f32>(wxHigh, yzHigh, 0, 1, 4, 5), 64); v128.store(to, v128.shuffle<f32>(wxHigh, yzHigh, 2, 3, 6, 7), 96);
}

/** Eight samples of a sum of eight waves, four sums at a time: even waves and odd ones apart, since the second half mirrors the first. */
function waves8(from: usize, step: i32, to: usize, toStep: i32): void {
  const a = v128.load(from), b = v128.load(from + step), c = v128.load(from + 2 * step), d = v128.load(from + 3 * step);
  const e = v128.load(from + 4 * step), f = v128.load(from + 5 * step), g = v128.load(from + 6 * step), h = v128.load(from + 7 * step);
  const p = plusTimes(C4, e, a), q = lessTimes(C4, e, a), r = plusTimes(C2, c, times(C6, g)), s = lessTimes(C2, g, times(C6, c));
  const even0 = f32x4.add(p, r), even1 = f32x4.add(q, s), even2 = f32x4.sub(q, s), even3 = f32x4.sub(p, r);
  const odd0 = plusTimes(C7, h, plusTimes(C5, f, plusTimes(C3, d, times(C1, b))));
  const odd1 = lessTimes(C5, h, lessTimes(C1, f, lessTimes(C7, d, times(C3, b))));
  const odd2 = plusTimes(C3, h, plusTimes(C7, f, lessTimes(C1, d, times(C5, b))));
  const odd3 = lessTimes(C1, h, plusTimes(C3, f, lessTimes(C5, d, times(C7, b))));
  v128.store(to, f32x4.add(even0, odd0)); v128.store(to + 7 * toStep, f32x4.sub(even0, odd0));
  v128.store(to + toStep, f32x4.add(even1, odd1)); v128.store(to + 6 * toStep, f32x4.sub(even1, odd1));
  v128.store(to + 2 * toStep, f32x4.add(even2, odd2)); v128.store(to + 5 * toStep, f32x4.sub(even2, odd2));
  v128.store(to + 3 * toStep, f32x4.add(even3, odd3)); v128.store(to + 4 * toStep, f32x4.sub(even3, odd3));
}

/** What red and blue differences add to luma for red, green and blue (ITU-T T.871, clause 7). */
const RED_OF: f32 = 1.402, BLUE_OF: f32 = 1.772, GREEN_OF_BLUE: f32 = 0.344136286, GREEN_OF_RED: f32 = 0.714136286;
/** Codes that round to this or more are clipped (image/luminance.ts). */
const CLIPPED: f32 = 251.5;

/**
 * Averages squares of the strip plane from a row on into one row of pixels, and into another one how bright the brightest of red, green and blue is there.
 * @param row in the strip; @param side of a square; @param columns that count; @param line, brightest room for them and up to three more
 * @param sums room for as many numbers as the plane has columns
 */
function averageSquares(row: i32, side: i32, columns: i32, sums: usize, line: usize, brightest: usize): void {
  const stride = load<i32>(job, 36) << 2, colour = load<i32>(job, 20) === 3, tints = <usize>load<u32>(job, 48), group = load<i32>(job, 24) * load<i32>(job, 52);
  const luma = <usize>load<u32>(job, 32) + row * stride, share: f32 = 1 / <f32>(side * side);
  for (let x = 0; x < stride; x += 16) {
    let sum = v128.load(luma + x);
    for (let i = 1; i < side; i++) sum = f32x4.add(sum, v128.load(luma + x + i * stride));
    v128.store(sums + x, sum);
  }
  for (let column = 0, from = sums; column < columns; column++) {
    let sum: f32 = 0;
    for (let i = 0; i < side; i++, from += 4) sum += load<f32>(from);
    const mean = sum * share, at = <usize>column << 2;
    store<f32>(line + at, mean);
    store<f32>(brightest + at, colour ? mean + load<f32>(tints + (<usize>((column * side + (side >> 1)) / group) << 2)) : mean);
  }
}

/**
 * Root of the light of one row of the strip plane; clipped pixels are added up in f64 cells on the way. Colour counts only in what is
 * clipped, by its mean over a group of blocks.
 * @param row in the strip; @param columns that count; @param out room for them and up to three more; @param light as much room, for sums of columns
 */
function rootByGroups(row: i32, columns: i32, out: usize, light: usize, cell: i32, cellColumns: i32, clipped: usize): void {
  const stride = load<i32>(job, 36) << 2, colour = load<i32>(job, 20) === 3, shift = load<i32>(job, 24) + (load<i32>(job, 52) === 4 ? 3 : 4), tints = <usize>load<u32>(job, 48);
  const luma = <usize>load<u32>(job, 32) + row * stride;
  // A group of blocks is four, eight or sixteen pixels across.
  for (let x = 0, end = columns << 2, step = 1 << shift; x < end;) {
    const limit = f32x4.splat(colour ? CLIPPED - load<f32>(tints + (<usize>(x >> shift) << 2)) : CLIPPED);
    for (const stop = min(end, x + step); x < stop; x += 16) {
      const y = v128.load(luma + x), over = f32x4.ge(y, limit);
      putRoot(y, over, x, out, light, columns, cell, cellColumns, clipped);
    }
  }
}

/** Writes the root of the light of four codes, and adds it to what is there of their columns. @param over which are clipped; all codes beyond the last are */
@inline function putRoot(codes: v128, over: v128, x: i32, out: usize, light: usize, columns: i32, cell: i32, cellColumns: i32, clipped: usize): void {
  let root: v128;
  if (v128.any_true(v128.or(over, isDark(codes)))) {
    root = rootOf(codes);
    const marks = i32x4.bitmask(over);
    if (marks) countClipped(marks, x >> 2, columns, cell, cellColumns, clipped);
  } else root = rootWithin(codes);
  v128.store(out + x, root);
  v128.store(light + x, f32x4.add(v128.load(light + x), root));
}

/**
 * How bright the brightest of red, green and blue is in each pixel of a row of the strip plane, where colours are decoded so.
 * @param row in the strip; @param columns that count; @param brightest room for them and up to three more
 */
function brightestColours(row: i32, columns: i32, brightest: usize): void {
  const luma = <usize>load<u32>(job, 32) + row * (load<i32>(job, 36) << 2), across = load<i32>(job, 16) << 5, wide = load<i32>(job, 24) === 2;
  const blue = <usize>load<u32>(job, 60) + (row / load<i32>(job, 28)) * across, red = blue + (across << 3);
  for (let x = 0, end = columns << 2; x < end; x += 16) {
    const at = wide ? x >> 1 : x, b = wide ? twice(blue + at) : v128.load(blue + at), r = wide ? twice(red + at) : v128.load(red + at);
    const green = f32x4.neg(f32x4.add(f32x4.mul(f32x4.splat(GREEN_OF_BLUE), b), f32x4.mul(f32x4.splat(GREEN_OF_RED), r)));
    const tint = f32x4.max(f32x4.max(f32x4.mul(f32x4.splat(RED_OF), r), f32x4.mul(f32x4.splat(BLUE_OF), b)), green);
    v128.store(brightest + x, f32x4.add(v128.load(luma + x), tint));
  }
}

/** Two numbers, each for two pixels side by side. */
@inline function twice(from: usize): v128 { const two = v128.load64_splat(from); return v128.shuffle<f32>(two, two, 0, 0, 1, 1); }

/** The same as {@link rootByGroups}, of a row whose brightest colours are told pixel by pixel. */
function rootByPixels(line: usize, brightest: usize, columns: i32, out: usize, light: usize, cell: i32, cellColumns: i32, clipped: usize): void {
  const limit = f32x4.splat(CLIPPED);
  for (let x = 0, end = columns << 2; x < end; x += 16) {
    putRoot(v128.load(line + x), f32x4.ge(v128.load(brightest + x), limit), x, out, light, columns, cell, cellColumns, clipped);
  }
}

function countClipped(marks: i32, column: i32, columns: i32, cell: i32, cellColumns: i32, clipped: usize): void {
  for (let i = 0; i < 4; i++) if ((marks >> i) & 1 && column + i < columns) {
    const at = clipped + (min(cellColumns - 1, (column + i) / cell) << 3);
    store<f64>(at, load<f64>(at) + 1);
  }
}
