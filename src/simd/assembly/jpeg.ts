// AssemblyScript, compiled to SIMD WebAssembly together with filters.ts: baseline JPEG (ITU-T T.81), straight to the root of linear
// luminance of pixels averaged two by two. It knows nothing of markers: src/image/jpeg-layout.ts reads those, src/simd/jpeg-rows.ts
// lays tables and stream out in memory. Whatever is not exactly as the standard says is refused, for a decoder that can say what is wrong.
// Over 200 lines: the compiler inlines across these functions only where they stand in one file.

/** Bits looked up at a time; as in jpeg-tables.ts. */
const LOOK: i32 = 11;
/** A code table: look-up of 2^LOOK entries, then for the lengths 0 … 16 the end of their codes (left-justified in 16 bits) and where their symbols begin, then the symbols. */
const ENDS: usize = 8 << LOOK, BEGINS: usize = ENDS + 68, SYMBOLS: usize = BEGINS + 68;
/**
 * An entry: bits taken in the lowest 6, bytes on in the block's records in the next 10 (for the zeros before a value and itself), the value in the
 * next 16; then the same of a second value after it, whose first 6 bits say what the first one alone takes. No second: 0 on. No bits taken: the first is
 * too long to be looked up, and the second half is its symbol times 256 and the length of its code, or 0 where that is too long as well.
 */
const ON: i32 = 0x3ff;
/**
 * A component's records by zigzag index: the address where a number is added (u32), what it is multiplied with (f32). They begin 65 records behind a multiple
 * of 256 records, so that one bit of an address says that the last of 64 is reached; an end of block leads as far behind them.
 */
const RECORD: i32 = 8, FULL: i32 = 128 * RECORD, ENDING: i32 = 64 * RECORD + RECORD;

/** A component in the job: code tables, records, last DC value. */
const COMPONENT_BYTES: usize = 32, COMPONENTS: usize = 64;

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
 * 8 strip planes, 9 width of a plane in pixels, 10 room for one block and twice as much to work in, 11 groups in all; components from byte 64 on.
 */
export function jpegStart(at: usize): void {
  job = at;
  segment = -1;
  left = 0;
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
 * Decodes one row of block groups into the strip planes.
 * @returns false where the data are damaged
 */
export function jpegGroups(): bool {
  const across = load<i32>(job, 16), components = load<i32>(job, 20), h = load<i32>(job, 24), v = load<i32>(job, 28);
  const stride = load<i32>(job, 36) << 2, planes = <usize>load<u32>(job, 32), room = <usize>load<u32>(job, 40), plane = (stride * v) << 2;
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
      block4(room, last, planes + ((group * h + x) << 4) + (y << 2) * stride, stride, 128);
    }
    if (components === 3) {
      for (let c = 0; c < 2; c++) {
        const last = readBlock(c ? red : blue), to = planes + (c + 1) * plane + ((group * h) << 4);
        if (last < 0) return false;
        if (v === 2) block8(room, last, to, stride);
        else if (h === 2) block8x4(room, to, stride);
        else block4(room, last, to, stride, 0);
      }
    }
    // Damaged data may lead beyond the end: never far.
    if (place > segmentEnd() + 16) return false;
  }
  return true;
}

/** Whether all segments have been read, each to its end. */
export function jpegEnded(): bool { return left === 0 && segment + 1 === load<i32>(job, 8) && atEnd(); }

/** The lowest 16 bits the other way round. */
@inline function turned(bits: i32): i32 {
  bits = ((bits & 0x5555) << 1) | ((bits >> 1) & 0x5555);
  bits = ((bits & 0x3333) << 2) | ((bits >> 2) & 0x3333);
  bits = ((bits & 0x0f0f) << 4) | ((bits >> 4) & 0x0f0f);
  return ((bits & 0xff) << 8) | ((bits >> 8) & 0xff);
}

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

/** Reads one block, times its factors, into the room, which holds zeros. @returns zigzag index of the last number, −1: damaged */
function readBlock(component: usize): i32 {
  const codes = <usize>load<u32>(component), more = <usize>load<u32>(component, 4), records = <usize>load<u32>(component, 8), mask: u64 = (1 << LOOK) - 1;
  let at = place, bits = window, count = held;
  // As many whole bytes as there is room for: 56 bits or more are held then.
  bits |= load<u64>(at) << count; at += (63 - count) >> 3; count |= 56;
  let both = load<u64>(codes + (<usize>(bits & mask) << 3)), entry = <i32>both, next = 0;
  if ((entry & 63) === 0 && !(entry = longEntry(codes, bits, <i32>(both >> 32), true))) return -1;
  bits >>= <u64>entry; count -= entry & 63;
  const level = load<i32>(component, 12) + (entry >> 16);
  store<i32>(component, level, 12);
  store<f32>(load<u32>(records), <f32>level * load<f32>(records, 4));
  let record = records;
  do {
    bits |= load<u64>(at) << count; at += (63 - count) >> 3; count |= 56;
    both = load<u64>(more + (<usize>(bits & mask) << 3));
    entry = <i32>both; next = <i32>(both >> 32);
    if ((entry & 63) === 0) {
      if (!(entry = longEntry(more, bits, next, false))) return -1;
      bits >>= <u64>entry; count -= entry & 63;
      record += (entry >> 6) & ON;
      addValue(entry, record);
      continue;
    }
    record += (entry >> 6) & ON;
    addValue(entry, record);
    // What follows the last value belongs to the next block.
    if (record & FULL) { bits >>= <u64>next; count -= next & 63; break; }
    bits >>= both; count -= entry & 63;
    record += (next >> 6) & ON;
    addValue(next, record);
  } while (!(record & FULL));
  place = at; window = bits; held = count;
  const last = <i32>(record - records) / RECORD;
  return last === 63 ? 63 : last >= 65 && last < 128 ? last - 65 : -1;
}

/** Cosines of multiples of π/16, four of each: the engine makes a constant vector anew wherever it stands, in three instructions, and loads one in one. */
const COSINES: usize = memory.data<f32>([
  0.98078528, 0.98078528, 0.98078528, 0.98078528, 0.92387953, 0.92387953, 0.92387953, 0.92387953, 0.83146961, 0.83146961, 0.83146961, 0.83146961, 0.70710678, 0.70710678, 0.70710678, 0.70710678,
  0.55557023, 0.55557023, 0.55557023, 0.55557023, 0.38268343, 0.38268343, 0.38268343, 0.38268343, 0.19509032, 0.19509032, 0.19509032, 0.19509032], 16);
const C1: usize = 0, C2: usize = 16, C3: usize = 32, C4: usize = 48, C5: usize = 64, C6: usize = 80, C7: usize = 96;

@inline function times(cosine: usize, v: v128): v128 { return f32x4.mul(v128.load(COSINES + cosine), v); }

/**
 * A block of 4 × 4 averages from its 4 × 4 frequencies (those of 8 × 8 folded: the mean of two neighbours takes frequency u and 8 − u to the same wave).
 * Empties the room. `level` is added.
 */
function block4(room: usize, last: i32, to: usize, stride: i32, level: f32): void {
  const zero = f32x4.splat(0);
  if (last === 0) {
    const all = f32x4.splat(load<f32>(room) + level);
    store<f32>(room, 0);
    v128.store(to, all); v128.store(to + stride, all); v128.store(to + 2 * stride, all); v128.store(to + 3 * stride, all);
    return;
  }
  const a = f32x4.add(v128.load(room), f32x4(level, 0, 0, 0)), b = v128.load(room, 16), c = v128.load(room, 32), d = v128.load(room, 48);
  v128.store(room, zero); v128.store(room, zero, 16); v128.store(room, zero, 32); v128.store(room, zero, 48);
  const e = times(C4, c), p = f32x4.add(a, e), q = f32x4.sub(a, e);
  const r = f32x4.add(times(C2, b), times(C6, d)), s = f32x4.sub(times(C6, b), times(C2, d));
  const w = f32x4.add(p, r), x = f32x4.add(q, s), y = f32x4.sub(q, s), z = f32x4.sub(p, r);
  down4(w, x, y, z, to, stride);
}

/** Turns four columns round and transforms along them; rows go to `to`. */
@inline function down4(w: v128, x: v128, y: v128, z: v128, to: usize, stride: i32): void {
  const wx = v128.shuffle<f32>(w, x, 0, 4, 1, 5), yz = v128.shuffle<f32>(y, z, 0, 4, 1, 5), wxHigh = v128.shuffle<f32>(w, x, 2, 6, 3, 7), yzHigh = v128.shuffle<f32>(y, z, 2, 6, 3, 7);
  const a = v128.shuffle<f32>(wx, yz, 0, 1, 4, 5), b = v128.shuffle<f32>(wx, yz, 2, 3, 6, 7), c = v128.shuffle<f32>(wxHigh, yzHigh, 0, 1, 4, 5), d = v128.shuffle<f32>(wxHigh, yzHigh, 2, 3, 6, 7);
  const e = times(C4, c), p = f32x4.add(a, e), q = f32x4.sub(a, e);
  const r = f32x4.add(times(C2, b), times(C6, d)), s = f32x4.sub(times(C6, b), times(C2, d));
  v128.store(to, f32x4.add(p, r)); v128.store(to + stride, f32x4.add(q, s)); v128.store(to + 2 * stride, f32x4.sub(q, s)); v128.store(to + 3 * stride, f32x4.sub(p, r));
}

/** Eight-point inverse cosine transform of vectors `step` bytes apart, from one place to another. */
@inline function across8(from: usize, step: usize, to: usize, toStep: usize): void {
  const a = v128.load(from), e = times(C4, v128.load(from + 4 * step)), p = f32x4.add(a, e), q = f32x4.sub(a, e);
  const c = v128.load(from + 2 * step), g = v128.load(from + 6 * step), r = f32x4.add(times(C2, c), times(C6, g)), s = f32x4.sub(times(C6, c), times(C2, g));
  const e0 = f32x4.add(p, r), e1 = f32x4.add(q, s), e2 = f32x4.sub(q, s), e3 = f32x4.sub(p, r);
  const b = v128.load(from + step), d = v128.load(from + 3 * step), f = v128.load(from + 5 * step), h = v128.load(from + 7 * step);
  const o0 = f32x4.add(f32x4.add(times(C1, b), times(C3, d)), f32x4.add(times(C5, f), times(C7, h)));
  const o1 = f32x4.sub(f32x4.sub(times(C3, b), times(C7, d)), f32x4.add(times(C1, f), times(C5, h)));
  const o2 = f32x4.add(f32x4.sub(times(C5, b), times(C1, d)), f32x4.add(times(C7, f), times(C3, h)));
  const o3 = f32x4.add(f32x4.sub(times(C7, b), times(C5, d)), f32x4.sub(times(C3, f), times(C1, h)));
  v128.store(to, f32x4.add(e0, o0)); v128.store(to + toStep, f32x4.add(e1, o1)); v128.store(to + 2 * toStep, f32x4.add(e2, o2)); v128.store(to + 3 * toStep, f32x4.add(e3, o3));
  v128.store(to + 4 * toStep, f32x4.sub(e3, o3)); v128.store(to + 5 * toStep, f32x4.sub(e2, o2)); v128.store(to + 6 * toStep, f32x4.sub(e1, o1)); v128.store(to + 7 * toStep, f32x4.sub(e0, o0));
}

/** The same where all but the first four are zero. */
@inline function across8of4(from: usize, step: usize, to: usize, toStep: usize): void {
  const a = v128.load(from), c = v128.load(from + 2 * step), r = times(C2, c), s = times(C6, c);
  const e0 = f32x4.add(a, r), e1 = f32x4.add(a, s), e2 = f32x4.sub(a, s), e3 = f32x4.sub(a, r);
  const b = v128.load(from + step), d = v128.load(from + 3 * step);
  const o0 = f32x4.add(times(C1, b), times(C3, d)), o1 = f32x4.sub(times(C3, b), times(C7, d)), o2 = f32x4.sub(times(C5, b), times(C1, d)), o3 = f32x4.sub(times(C7, b), times(C5, d));
  v128.store(to, f32x4.add(e0, o0)); v128.store(to + toStep, f32x4.add(e1, o1)); v128.store(to + 2 * toStep, f32x4.add(e2, o2)); v128.store(to + 3 * toStep, f32x4.add(e3, o3));
  v128.store(to + 4 * toStep, f32x4.sub(e3, o3)); v128.store(to + 5 * toStep, f32x4.sub(e2, o2)); v128.store(to + 6 * toStep, f32x4.sub(e1, o1)); v128.store(to + 7 * toStep, f32x4.sub(e0, o0));
}

/** Turns the 4 × 4 numbers round that lie in rows `step` bytes apart. */
@inline function turn4(from: usize, step: usize, to: usize, toStep: usize): void {
  const w = v128.load(from), x = v128.load(from + step), y = v128.load(from + 2 * step), z = v128.load(from + 3 * step);
  const wx = v128.shuffle<f32>(w, x, 0, 4, 1, 5), yz = v128.shuffle<f32>(y, z, 0, 4, 1, 5), wxHigh = v128.shuffle<f32>(w, x, 2, 6, 3, 7), yzHigh = v128.shuffle<f32>(y, z, 2, 6, 3, 7);
  v128.store(to, v128.shuffle<f32>(wx, yz, 0, 1, 4, 5)); v128.store(to + toStep, v128.shuffle<f32>(wx, yz, 2, 3, 6, 7));
  v128.store(to + 2 * toStep, v128.shuffle<f32>(wxHigh, yzHigh, 0, 1, 4, 5)); v128.store(to + 3 * toStep, v128.shuffle<f32>(wxHigh, yzHigh, 2, 3, 6, 7));
}

/** A whole block of 8 × 8, its frequencies column by column. */
function block8(room: usize, last: i32, to: usize, stride: i32): void {
  const zero = f32x4.splat(0), work = room + 256, turned = room + 512;
  if (last === 0) {
    const all = f32x4.splat(load<f32>(room));
    store<f32>(room, 0);
    for (let y = 0; y < 8; y++, to += stride) { v128.store(to, all); v128.store(to, all, 16); }
    return;
  }
  // The first ten of the zigzag order lie within 4 × 4.
  if (last < 10) {
    across8of4(room, 32, work, 32);
    turn4(work, 32, turned, 32); turn4(work + 128, 32, turned + 16, 32);
    across8of4(turned, 32, to, stride); across8of4(turned + 16, 32, to + 16, stride);
    for (let i = 0; i < 128; i += 32) v128.store(room + i, zero);
    return;
  }
  across8(room, 32, work, 32); across8(room + 16, 32, work + 16, 32);
  turn4(work, 32, turned, 32); turn4(work + 128, 32, turned + 16, 32);
  turn4(work + 16, 32, turned + 128, 32); turn4(work + 144, 32, turned + 144, 32);
  across8(turned, 32, to, stride); across8(turned + 16, 32, to + 16, stride);
  for (let i = 0; i < 256; i += 16) v128.store(room + i, zero);
}

/** Eight across and four averages down: frequencies of each column folded to four. */
function block8x4(room: usize, to: usize, stride: i32): void {
  const zero = f32x4.splat(0), work = room + 256;
  across8(room, 16, work, 16);
  down4(v128.load(work), v128.load(work, 16), v128.load(work, 32), v128.load(work, 48), to, stride);
  down4(v128.load(work, 64), v128.load(work, 80), v128.load(work, 96), v128.load(work, 112), to + 16, stride);
  for (let i = 0; i < 128; i += 16) v128.store(room + i, zero);
}

/** Four of each, as above: the codes' step and offset in t; the polynomial for s^0.8; luminance's weights; what red and blue differences give (ITU-T T.871, clause 7). */
const LIGHT: usize = memory.data<f32>([
  0.00371712666, 0.00371712666, 0.00371712666, 0.00371712666, 0.0521327014, 0.0521327014, 0.0521327014, 0.0521327014,
  -0.0985067656, -0.0985067656, -0.0985067656, -0.0985067656, 0.350791044, 0.350791044, 0.350791044, 0.350791044, -0.566208154, -0.566208154, -0.566208154, -0.566208154,
  1.27126707, 1.27126707, 1.27126707, 1.27126707, 0.0426046899, 0.0426046899, 0.0426046899, 0.0426046899,
  0.2126, 0.2126, 0.2126, 0.2126, 0.7152, 0.7152, 0.7152, 0.7152, 0.0722, 0.0722, 0.0722, 0.0722,
  1.402, 1.402, 1.402, 1.402, 1.772, 1.772, 1.772, 1.772, 0.344136286, 0.344136286, 0.344136286, 0.344136286, 0.714136286, 0.714136286, 0.714136286, 0.714136286,
  10.31475, 10.31475, 10.31475, 10.31475, 251.5, 251.5, 251.5, 251.5], 16);
const RED: usize = LIGHT + 112, GREEN: usize = LIGHT + 128, BLUE: usize = LIGHT + 144, RED_OF: usize = LIGHT + 160, BLUE_OF: usize = LIGHT + 176, GREEN_OF_BLUE: usize = LIGHT + 192, GREEN_OF_RED: usize = LIGHT + 208;
/** Codes up to this are in proportion to light; codes that round to 252 or more are clipped (image/luminance.ts). */
const TOE: usize = LIGHT + 224, CLIPPED: usize = LIGHT + 240;

/** sRGB code above the toe to linear light (IEC 61966-2-1): t^2.4 as t²·s^0.8, s = √t, the latter by a polynomial with a relative error below 5.3e-5. */
@inline function lightOf(code: v128): v128 {
  const t = f32x4.add(f32x4.mul(v128.load(LIGHT), code), v128.load(LIGHT, 16)), s = f32x4.sqrt(t);
  let p = f32x4.add(f32x4.mul(v128.load(LIGHT, 32), s), v128.load(LIGHT, 48));
  p = f32x4.add(f32x4.mul(p, s), v128.load(LIGHT, 64));
  p = f32x4.add(f32x4.mul(p, s), v128.load(LIGHT, 80));
  p = f32x4.add(f32x4.mul(p, s), v128.load(LIGHT, 96));
  return f32x4.mul(p, f32x4.mul(t, t));
}

@inline function within(v: v128, least: f32, most: f32): v128 { return f32x4.pmin(f32x4.pmax(v, f32x4.splat(least)), f32x4.splat(most)); }

/** The same of any code. */
function anyLightOf(code: v128): v128 {
  const inside = within(code, 0, 255);
  return v128.bitselect(f32x4.mul(f32x4.splat(1.0 / 3294.6), inside), lightOf(inside), f32x4.le(inside, v128.load(TOE)));
}

@inline function redOf(y: v128, red: v128): v128 { return f32x4.add(y, f32x4.mul(v128.load(RED_OF), red)); }
@inline function greenOf(y: v128, blue: v128, red: v128): v128 { return f32x4.sub(y, f32x4.add(f32x4.mul(v128.load(GREEN_OF_BLUE), blue), f32x4.mul(v128.load(GREEN_OF_RED), red))); }
@inline function blueOf(y: v128, blue: v128): v128 { return f32x4.add(y, f32x4.mul(v128.load(BLUE_OF), blue)); }
@inline function weighted(r: v128, g: v128, b: v128): v128 { return f32x4.add(f32x4.add(f32x4.mul(v128.load(RED), r), f32x4.mul(v128.load(GREEN), g)), f32x4.mul(v128.load(BLUE), b)); }

/**
 * Root of linear luminance of one row of the strip planes; brightness and clipped pixels are added up in f64 cells on the way.
 * @param row in the strip; @param columns that count; @param out room for them and up to three more
 */
export function jpegRoot(row: i32, columns: i32, out: usize, cell: i32, cellColumns: i32, brightness: usize, clipped: usize): void {
  const stride = load<i32>(job, 36) << 2, plane = (stride * load<i32>(job, 28)) << 2, colour = load<i32>(job, 20) === 3;
  const luma = <usize>load<u32>(job, 32) + row * stride;
  for (let x = 0, end = columns << 2; x < end; x += 16) {
    const y = v128.load(luma + x);
    let blue = f32x4.splat(0), red = blue, r = y, g = y, b = y;
    if (colour) {
      blue = v128.load(luma + plane + x); red = v128.load(luma + 2 * plane + x);
      r = redOf(y, red); g = greenOf(y, blue, red); b = blueOf(y, blue);
    }
    // Dark, bright, or no colour at all: where a luma or a difference is beyond its range, one of the three is as well.
    const doubtful = v128.or(f32x4.ge(f32x4.pmax(r, f32x4.pmax(g, b)), v128.load(CLIPPED)), f32x4.le(f32x4.pmin(r, f32x4.pmin(g, b)), v128.load(TOE)));
    if (v128.any_true(doubtful)) {
      const marks = rootOfAny(within(y, 0, 255), within(blue, -128, 127), within(red, -128, 127), out + x);
      if (marks) countClipped(marks, x >> 2, columns, cell, cellColumns, clipped);
    } else v128.store(out + x, f32x4.sqrt(weighted(lightOf(r), lightOf(g), lightOf(b))));
  }
  let column = 0;
  for (let i = 0; i < cellColumns; i++) {
    const stop = i === cellColumns - 1 ? columns : min(columns, (i + 1) * cell), at = brightness + (i << 3);
    let part = f32x4.splat(0), sum: f32 = 0;
    for (; column + 4 <= stop; column += 4) part = f32x4.add(part, v128.load(out + (column << 2)));
    for (; column < stop; column++) sum += load<f32>(out + (column << 2));
    store<f64>(at, load<f64>(at) + <f64>(sum + f32x4.extract_lane(part, 0) + f32x4.extract_lane(part, 1) + f32x4.extract_lane(part, 2) + f32x4.extract_lane(part, 3)));
  }
}

/** Root of luminance of codes that may lie anywhere. @returns which of the four pixels are clipped */
function rootOfAny(y: v128, blue: v128, red: v128, out: usize): i32 {
  const r = redOf(y, red), g = greenOf(y, blue, red), b = blueOf(y, blue);
  v128.store(out, f32x4.sqrt(weighted(anyLightOf(r), anyLightOf(g), anyLightOf(b))));
  return i32x4.bitmask(f32x4.ge(f32x4.pmax(r, f32x4.pmax(g, b)), v128.load(CLIPPED)));
}

function countClipped(marks: i32, column: i32, columns: i32, cell: i32, cellColumns: i32, clipped: usize): void {
  for (let i = 0; i < 4; i++) if ((marks >> i) & 1 && column + i < columns) {
    const at = clipped + (min(cellColumns - 1, (column + i) / cell) << 3);
    store<f64>(at, load<f64>(at) + 1);
  }
}
