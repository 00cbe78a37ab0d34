/** One colour component of a baseline JPEG picture. */
export interface JpegComponent { quantiser: Uint16Array; dcCodes: JpegCodes; acCodes: JpegCodes }
/** A Huffman table as it is written: how many codes of 1 … 16 bits there are, and their symbols in order. */
export interface JpegCodes { counts: Uint8Array; symbols: Uint8Array }

/** What lies before the entropy-coded data of a baseline JPEG picture in one scan. */
export interface JpegLayout {
  rows: number;
  columns: number;
  /** One (grey) or three (Y, Cb, Cr); quantisers in zigzag order. */
  components: JpegComponent[];
  /** Luma blocks across and down in a group: 1 × 1, 2 × 1 or 2 × 2 for one block each of the other components. */
  across: 1 | 2;
  down: 1 | 2;
  /** Groups of blocks between restart markers; 0: none. */
  restartGroups: number;
  /** First byte of the entropy-coded data. */
  dataAt: number;
  /** The colour profile's bytes as Latin-1 text, all parts of it; null: none. */
  profile: string | null;
}

interface Found { quantisers: Map<number, Uint16Array>; codes: Map<number, JpegCodes>; frame: Frame | null; restartGroups: number; jfif: boolean; adobe: number | null; profile: string[] }
interface Frame { rows: number; columns: number; components: { id: number; sampling: number; quantiser: number }[] }

/**
 * Reads the segments before the first scan (ITU-T T.81, annex B; JFIF: T.871).
 * @returns null where the picture is of another kind – progressive, 12 bits, four colours, RGB, other sampling – or anything is not as the standard says
 */
export function jpegLayout(bytes: Uint8Array): JpegLayout | null {
  if (bytes[0] !== 0xff || bytes[1] !== 0xd8) return null;
  const found: Found = { quantisers: new Map(), codes: new Map(), frame: null, restartGroups: 0, jfif: false, adobe: null, profile: [] };
  for (let at = 2; at + 4 <= bytes.length;) {
    if (bytes[at] !== 0xff) return null;
    const marker = bytes[at + 1], end = at + 2 + ((bytes[at + 2] << 8) | bytes[at + 3]);
    if (end < at + 4 || end > bytes.length) return null;
    const segment = bytes.subarray(at + 4, end);
    if (marker === 0xda) return complete(found, segment, end);
    if (!(readers[marker] ?? otherSegment)(segment, found, marker)) return null;
    at = end;
  }
  return null;
}

type Reader = (segment: Uint8Array, found: Found, marker: number) => boolean;
const readers: Record<number, Reader> = { 0xc0: readFrame, 0xc1: readFrame, 0xc4: readCodes, 0xdb: readQuantisers, 0xdd: readRestart, 0xe0: readJfif, 0xe2: readProfile, 0xee: readAdobe };

/** Data of applications and comments are passed over; other frames and markers are not for this decoder. */
function otherSegment(_: Uint8Array, __: Found, marker: number): boolean { return (marker >= 0xe1 && marker <= 0xef) || marker === 0xfe; }

function readQuantisers(segment: Uint8Array, { quantisers }: Found): boolean {
  let at = 0;
  while (at < segment.length) {
    const wide = segment[at] >> 4, table = new Uint16Array(64);
    if (wide > 1 || at + 1 + (64 << wide) > segment.length) return false;
    for (let k = 0; k < 64; k++) table[k] = wide ? (segment[at + 1 + 2 * k] << 8) | segment[at + 2 + 2 * k] : segment[at + 1 + k];
    if (table.includes(0)) return false;
    quantisers.set(segment[at] & 15, table);
    at += 1 + (64 << wide);
  }
  return true;
}

function readCodes(segment: Uint8Array, { codes }: Found): boolean {
  let at = 0;
  while (at < segment.length) {
    const counts = segment.slice(at + 1, at + 17), all = counts.reduce((sum, count) => sum + count, 0);
    if (counts.length < 16 || all > 256 || at + 17 + all > segment.length) return false;
    // More codes of a length than there is room for.
    for (let length = 0, room = 1; length < 16; length++) { room = 2 * room - counts[length]; if (room < 0) return false; }
    codes.set(segment[at], { counts, symbols: segment.slice(at + 17, at + 17 + all) });
    at += 17 + all;
  }
  return true;
}

function readFrame(segment: Uint8Array, found: Found): boolean {
  const count = segment[5];
  if (found.frame || segment[0] !== 8 || !(count === 1 || count === 3) || segment.length !== 6 + 3 * count) return false;
  const components = Array.from({ length: count }, (_, i) => ({ id: segment[6 + 3 * i], sampling: segment[7 + 3 * i], quantiser: segment[8 + 3 * i] }));
  found.frame = { rows: (segment[1] << 8) | segment[2], columns: (segment[3] << 8) | segment[4], components };
  return found.frame.rows > 0 && found.frame.columns > 0;
}

function readRestart(segment: Uint8Array, found: Found): boolean {
  found.restartGroups = (segment[0] << 8) | segment[1];
  return segment.length === 2;
}

const text = (segment: Uint8Array, from: number, to: number): string => Array.from(segment.subarray(from, to), (code) => String.fromCharCode(code)).join('');

function readJfif(segment: Uint8Array, found: Found): boolean {
  found.jfif ||= text(segment, 0, 5) === 'JFIF\0';
  return true;
}

/** ICC.1 (2022), annex B.4: parts are numbered. */
function readProfile(segment: Uint8Array, { profile }: Found): boolean {
  if (text(segment, 0, 12) === 'ICC_PROFILE\0') profile.push(text(segment, 14, segment.length));
  return true;
}

function readAdobe(segment: Uint8Array, found: Found): boolean {
  if (text(segment, 0, 5) === 'Adobe') found.adobe = segment[11] ?? null;
  return true;
}

function complete({ quantisers, codes, frame, restartGroups, jfif, adobe, profile }: Found, scan: Uint8Array, dataAt: number): JpegLayout | null {
  if (!frame) return null;
  const { rows, columns, components } = frame, count = components.length;
  // All components in one scan, all frequencies, all bits.
  if (scan.length !== 4 + 2 * count || scan[0] !== count || scan[1 + 2 * count] !== 0 || scan[2 + 2 * count] !== 63 || scan[3 + 2 * count] !== 0) return null;
  const colour = count === 3, luma = components[0].sampling;
  if (colour && !(jfif || adobe === 1 || (adobe === null && components.every(({ id }, i) => id === i + 1)))) return null;
  if (colour && (![0x11, 0x21, 0x22].includes(luma) || components[1].sampling !== 0x11 || components[2].sampling !== 0x11)) return null;
  const parts = components.map(({ id, quantiser }, i): JpegComponent | null => {
    const q = quantisers.get(quantiser), dcCodes = codes.get(scan[2 + 2 * i] >> 4), acCodes = codes.get(0x10 | (scan[2 + 2 * i] & 15));
    // A difference of DC values has 11 bits at most, a value 10 (T.81, F.1.2).
    const usual = q && dcCodes && acCodes && scan[1 + 2 * i] === id && dcCodes.symbols.every((size) => size <= 11) && acCodes.symbols.every((symbol) => (symbol & 15) <= 10);
    return usual ? { quantiser: q, dcCodes, acCodes } : null;
  });
  if (!parts.every((part) => part !== null)) return null;
  return {
    rows, columns, components: parts, across: colour && luma >> 4 === 2 ? 2 : 1, down: colour && (luma & 15) === 2 ? 2 : 1, restartGroups, dataAt,
    profile: profile.length ? profile.join('') : null,
  };
}
