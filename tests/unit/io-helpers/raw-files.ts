/**
 * Raw files as cameras build them, byte by byte, with any JPEG inside. Layouts: TIFF 6.0 sections 2 and 22, EXIF 2.32 section 4.6, TIFF/EP
 * (sub-directories), DNG 1.6 (previews in sub-directories, new-style JPEG), ISO/IEC 14496-12 (boxes). What makers publish nowhere was checked against
 * descriptions by others: RAF's header and facts (libopenraw's description), CR3's own boxes (L. Clévy's) and RW2's tags (a public table of
 * tag names). Where NEF, CR2, ARW and PEF keep their JPEG, RW2's and ORF's magic numbers and ORF's note are from memory. One file of all kinds, since they share the writer.
 */

export type RawKind = 'nef' | 'cr2' | 'arw' | 'orf' | 'rw2' | 'pef' | 'dng' | 'raf' | 'cr3';
export const rawKinds: readonly RawKind[] = ['nef', 'cr2', 'arw', 'orf', 'rw2', 'pef', 'dng', 'raf', 'cr3'];

export interface Shot {
  /** The large picture, and the small one that must not be taken. */
  full: Buffer;
  thumbnail: Buffer;
  orientation: number;
  /** Size of the shot as the camera writes it. */
  columns: number;
  rows: number;
  /** In RW2, a second picture. */
  larger?: Buffer;
  /** Width that the EXIF data says, where it is another than the shot's. */
  writtenColumns?: number;
  /** Ways of the maker's that differ between its cameras. */
  variant?: 'om-system' | 'settings-in-note' | 'other-magic' | 'narrow-offsets' | 'sensor-size-alone';
}

/** Kinds whose facts stand in the JPEG, not in the container. */
export const factsInJpeg: ReadonlySet<RawKind> = new Set(['raf']);

type Type = 1 | 2 | 3 | 4 | 5 | 7 | 13;
type Value = number[] | string | { bytes: Buffer } | { inside: Entry[] } | { directory: Entry[] } | { directories: Entry[][] };
type Entry = [tag: number, type: Type, value: Value];

export function rawFile(kind: RawKind, shot: Shot): Buffer {
  const { full, thumbnail } = shot, jpeg = (bytes: Buffer): Entry[] => [[0x201, 4, { bytes }], [0x202, 4, [bytes.length]]];
  const shotEntries: Entry[] = [[0x10f, 2, 'Bench'], [0x110, 2, 'Bench camera'], [0x112, 3, [shot.orientation]]];
  const exif: Entry = [0x8769, 4, { directory: exifEntries(shot) }];
  const sensor = Buffer.alloc(400, 0x5a);
  switch (kind) {
    case 'nef': return tiff('II', 42, [[[0x100, 4, [8]], [0x101, 4, [8]], [0x102, 3, [8]], [0x103, 3, [1]], [0x106, 3, [1]], [0x111, 4, { bytes: Buffer.alloc(64) }], [0x115, 3, [1]], [0x116, 4, [8]], [0x117, 4, [64]], ...shotEntries,
      [0x14a, 4, { directories: [[[0x103, 3, [6]], ...jpeg(full)], [[0x100, 4, [shot.columns]], [0x103, 3, [34713]], [0x111, 4, { bytes: sensor }], [0x117, 4, [400]]]] }], exif]]);
    case 'cr2': return tiff('II', 42, [[[0x100, 3, [shot.columns]], [0x103, 3, [6]], [0x111, 4, { bytes: full }], [0x117, 4, [full.length]], ...shotEntries, exif], jpeg(thumbnail),
      [[0x103, 3, [6]], [0x111, 4, { bytes: lossless(shot) }], [0x117, 4, [64]]]]);
    case 'arw': return tiff('II', 42, [[[0x103, 3, [6]], ...shotEntries, ...jpeg(full), exif], jpeg(thumbnail)]);
    case 'orf': return tiff('II', shot.variant === 'other-magic' ? 0x5352 : 0x4f52, [[[0x100, 4, [shot.columns]], [0x103, 3, [1]], ...shotEntries, [0x8769, 4, { directory: [...exifEntries(shot), [0x927c, 7, { bytes: olympusNote(shot) }]] }]], jpeg(thumbnail)]);
    case 'rw2': return tiff('II', 0x55, [[[0x02, 3, [shot.columns + 16]], [0x03, 3, [shot.rows + 12]], [0x2e, 7, { bytes: full }], ...(shot.larger ? [[0x127, 7, { bytes: shot.larger }] satisfies Entry] : []), ...shotEntries, exif]]);
    case 'pef': return tiff('MM', 42, [[[0x100, 4, [shot.columns]], [0x103, 3, [65535]], ...shotEntries, exif], jpeg(thumbnail), jpeg(full)]);
    case 'dng': return tiff('II', 42, [[[0xfe, 4, [1]], [0x100, 4, [16]], [0x103, 3, [1]], ...shotEntries, [0xc612, 1, [1, 4, 0, 0]],
      [0x14a, 4, { directories: [[[0xfe, 4, [0]], [0x100, 4, [shot.columns]], [0x103, 3, [7]], [0x111, 4, { bytes: lossless(shot) }], [0x117, 4, [64]]],
        [[0xfe, 4, [1]], [0x100, 4, [shot.columns]], [0x103, 3, [7]], [0x111, 4, { bytes: full }], [0x117, 4, [full.length]]]] }], exif]]);
    case 'raf': return raf(shot);
    case 'cr3': return cr3(shot, shotEntries);
  }
}

function exifEntries(shot: Shot): Entry[] {
  return [[0x829d, 5, [28, 10]], [0x9003, 2, '2026:11:20 10:11:12'], [0x9291, 2, '25'], [0xa002, 4, [shot.writtenColumns ?? shot.columns]], [0xa003, 4, [shot.rows]],
    [0xa20e, 5, [25_000, 10]], [0xa20f, 5, [25_000, 10]], [0xa210, 3, [3]]];
}

/** ITU-T T.81: a lossless frame (SOF3), which is how raw samples are packed; 64 bytes. */
function lossless({ rows, columns }: Shot): Buffer {
  const bytes = Buffer.alloc(64);
  bytes.set([0xff, 0xd8, 0xff, 0xc3, 0, 17, 14, rows >> 8, rows & 255, columns >> 8, columns & 255, 2]);
  return bytes;
}

function tiff(order: 'II' | 'MM', magic: number, chain: Entry[][]): Buffer {
  const out = new Writer(order === 'II');
  out.bytes = Buffer.concat([Buffer.from(order, 'latin1'), out.number(magic, 2), out.number(0, 4)]);
  let linkAt = 4;
  for (const entries of chain) {
    const at = out.directory(entries);
    out.number(at, 4).copy(out.bytes, linkAt);
    linkAt = at + 2 + 12 * entries.length;
  }
  return out.bytes;
}

/** Grows a file; offsets count from its start. */
class Writer {
  bytes = Buffer.alloc(0);
  constructor(private readonly little: boolean) {}

  number(value: number, size: 1 | 2 | 4): Buffer {
    const buffer = Buffer.alloc(size);
    if (this.little) buffer.writeUIntLE(value, 0, size);
    else buffer.writeUIntBE(value, 0, size);
    return buffer;
  }

  put(bytes: Buffer): number {
    const at = this.bytes.length;
    this.bytes = Buffer.concat([this.bytes, bytes, Buffer.alloc(bytes.length % 2)]);
    return at;
  }

  directory(entries: Entry[]): number {
    const at = this.put(Buffer.concat([this.number(entries.length, 2), Buffer.alloc(12 * entries.length + 4)]));
    entries.sort((a, b) => a[0] - b[0]).forEach(([tag, type, value], i) => {
      const [count, content] = this.content(type, value);
      const field = typeof value === 'object' && 'inside' in value ? content : content.length <= 4 ? Buffer.concat([content, Buffer.alloc(4 - content.length)]) : this.number(this.put(content), 4);
      Buffer.concat([this.number(tag, 2), this.number(type, 2), this.number(count, 4), field]).copy(this.bytes, at + 2 + 12 * i);
    });
    return at;
  }

  private content(type: Type, value: Value): [count: number, content: Buffer] {
    if (typeof value === 'string') return [value.length + 1, Buffer.from(`${value}\0`, 'latin1')];
    if ('bytes' in value) return type === 7 ? [value.bytes.length, value.bytes] : [1, this.number(this.put(value.bytes), 4)];
    // As many bytes as the directory has (TIFF 6.0, section 2), which lies where the field says.
    if ('inside' in value) return [2 + 12 * value.inside.length + 4, this.number(this.directory(value.inside), 4)];
    if ('directory' in value) return [1, this.number(this.directory(value.directory), 4)];
    if ('directories' in value) return [value.directories.length, Buffer.concat(value.directories.map((one) => this.number(this.directory(one), 4)))];
    const size = type === 1 ? 1 : type === 3 ? 2 : 4;
    return [type === 5 ? value.length / 2 : value.length, Buffer.concat(value.map((one) => this.number(one, size)))];
  }
}

/** Its offsets count from the note's start. Older cameras write the directory of settings as the value itself (type 7), newer ones where it lies (type 13). */
function olympusNote({ full, variant }: Shot): Buffer {
  const out = new Writer(true), settings: Entry[] = [[0x101, 4, { bytes: full }], [0x102, 4, [full.length]]];
  out.bytes = Buffer.from(variant === 'om-system' ? 'OM SYSTEM\0\0\0II\x04\0' : 'OLYMPUS\0II\x03\0', 'latin1');
  out.directory([variant === 'settings-in-note' ? [0x2020, 7, { inside: settings }] : [0x2020, 13, { directory: settings }]]);
  return out.bytes;
}

function raf({ full, rows, columns, variant }: Shot): Buffer {
  const head = Buffer.alloc(160);
  head.write('FUJIFILMCCD-RAW 0201FF000000Bench camera', 'latin1');
  head.writeUInt32BE(head.length, 84);
  head.writeUInt32BE(full.length, 88);
  head.writeUInt32BE(head.length + full.length, 92);
  const all = [0x100, 4, rows + 20, columns + 30, 0x111, 4, rows, columns], some = variant === 'sensor-size-alone' ? all.slice(0, 4) : all;
  const facts = Buffer.alloc(4 + 2 * some.length);
  facts.writeUInt32BE(some.length / 4, 0);
  some.forEach((value, i) => facts.writeUInt16BE(value, 4 + 2 * i));
  return Buffer.concat([head, full, facts, Buffer.alloc(400, 0x5a)]);
}

const box = (type: string, ...content: Buffer[]): Buffer => {
  const body = Buffer.concat(content), head = Buffer.alloc(8);
  head.writeUInt32BE(body.length + 8);
  head.write(type, 4, 'latin1');
  return Buffer.concat([head, body]);
};
const words = (...values: number[]): Buffer => { const bytes = Buffer.alloc(4 * values.length); values.forEach((value, i) => bytes.writeUInt32BE(value, 4 * i)); return bytes; };

function cr3(shot: Shot, shotEntries: Entry[]): Buffer {
  const top = box('ftyp', Buffer.from('crx \0\0\0\x01crx isom', 'latin1'));
  const facts = box('uuid', Buffer.from('85c0b687820f11e08111f4ce462b6a48', 'hex'), box('CMT1', tiff('II', 42, [[[0x100, 4, [shot.columns]], ...shotEntries]])), box('CMT2', tiff('II', 42, [exifEntries(shot)])));
  const movie = (jpegAt: number): Buffer => {
    // One sample: its size as all samples' or in a table, its place by 32 or by 64 bits (ISO/IEC 14496-12, 8.7.3 and 8.7.5).
    const table = shot.variant === 'narrow-offsets' ? box('stbl', box('stsz', words(0, shot.full.length, 1)), box('stco', words(0, 1, jpegAt)))
      : box('stbl', box('stsz', words(0, 0, 1, shot.full.length)), box('co64', words(0, 1, 0, jpegAt)));
    return box('moov', facts, box('trak', box('tkhd', words(0)), box('mdia', box('mdhd', words(0)), box('minf', table))));
  };
  const preview = box('uuid', Buffer.from('eaf42b5e1c984b88b9fbb7dc406e4d16', 'hex'), words(0, 1), box('PRVW', words(0, 0x10001, 0x10, shot.thumbnail.length), shot.thumbnail));
  const before = top.length + movie(0).length + preview.length;
  return Buffer.concat([top, movie(before + 8), preview, box('mdat', shot.full)]);
}
