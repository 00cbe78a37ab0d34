import type { JpegLayout } from '../image/jpeg-layout.js';
import type { Arena, Filters } from './filters.js';
import { CODES_BYTES, RECORDS_OFFSET, RECORDS_STEP, SKIPS_BYTES, writeCodes, writeRecords } from './jpeg-tables.js';
import type { RootRows } from './root-rows.js';

/** As in assembly/jpeg.ts. */
const COMPONENT_BYTES = 32, COMPONENTS_AT = 128, JOB_BYTES = COMPONENTS_AT + 3 * COMPONENT_BYTES;
/** One block of 8 × 8. */
const ROOM_BYTES = 256;

/** The picture data are not as the standard says: a decoder that can say what is wrong is to be asked. */
export class JpegDamagedError extends Error {
  constructor() { super('the JPEG data are damaged'); this.name = 'JpegDamagedError'; }
}

/**
 * Pixels of a baseline JPEG picture as they are decoded: luma becomes light without being rounded to 8 bits in between, and where pixels are averaged two by two,
 * half of the inverse transform falls away; larger squares are averaged from either. Of colour only what tells clipped pixels is taken up:
 * by pixels where none are averaged, else by its mean over a group of blocks.
 *
 * @param fileAt where the file lies in the filters' memory; @param fileBytes its length
 * @param bin pixels per measured pixel and axis
 */
export function jpegRows(filters: Filters, arena: Arena, fileAt: number, fileBytes: number, layout: JpegLayout, bin: number): RootRows {
  const { across, down, components } = layout, rows = Math.floor(layout.rows / bin), columns = Math.floor(layout.columns / bin), edge = bin % 2 ? 8 : 4, side = edge === 4 ? bin / 2 : bin, whole = bin === 1 && components.length === 3;
  const groupsAcross = Math.ceil(layout.columns / (8 * across)), groupsDown = Math.ceil(layout.rows / (8 * down)), groups = groupsAcross * groupsDown;
  const stride = edge * across * groupsAcross, stripRows = edge * down;
  const segments = layout.restartGroups ? Math.ceil(groups / layout.restartGroups) : 1;
  const job = arena.take(JOB_BYTES), ends = arena.take(4 * segments), plane = arena.take(4 * stride * (stripRows + side - 1)), tints = arena.take(4 * groupsAcross), colours = whole ? arena.take(2 * 4 * 64 * groupsAcross) : 0, room = arena.take(ROOM_BYTES);
  const parts = components.map(() => ({ dc: arena.take(CODES_BYTES), ac: arena.take(CODES_BYTES), skips: arena.take(SKIPS_BYTES), step: Math.ceil(arena.take(2 * RECORDS_STEP) / RECORDS_STEP) * RECORDS_STEP }));
  const brightest = side > 1 || whole ? arena.take(4 * columns + 16) : 0, squares = side > 1 ? { sums: arena.take(4 * stride), line: arena.take(4 * columns + 16) } : null;
  const light = arena.take(4 * columns + 16);
  let started = false;
  const start = (): void => {
    const { buffer } = filters.memory;
    parts.forEach(({ dc, ac, skips, step }, i) => {
      writeCodes(buffer, dc, components[i].dcCodes);
      writeCodes(buffer, ac, components[i].acCodes);
      filters.jpegCodes(dc, true);
      filters.jpegCodes(ac, false);
      if (i > 0 && !whole) filters.jpegSkips(ac, skips);
      if (i === 0 || whole) writeRecords(buffer, step, room, components[i].quantiser, edge);
      const at = job + COMPONENTS_AT + i * COMPONENT_BYTES;
      new Uint32Array(buffer, at, 3).set([dc, ac, step + RECORDS_OFFSET]);
      // T.81, A.3.3: a block's mean is an eighth of its first number.
      new Float32Array(buffer, at + 16, 1)[0] = components[i].quantiser[0] / 8;
      new Uint32Array(buffer, at + 20, 1)[0] = skips;
    });
    new Uint8Array(buffer, room, ROOM_BYTES).fill(0);
    new Float32Array(buffer, light, columns + 4).fill(0);
    if (filters.jpegStream(fileAt + layout.dataAt, fileAt + fileBytes, ends, segments) !== segments) throw new JpegDamagedError();
    new Uint32Array(buffer, job, 23).set([
      fileAt + layout.dataAt, ends, segments, layout.restartGroups, groupsAcross, components.length, across, down, plane, stride, room, groups, tints, edge, whole ? 1 : 0, colours,
      rows, columns, side, brightest, squares?.sums ?? 0, squares?.line ?? 0, light,
    ]);
    filters.jpegStart(job);
    started = true;
  };
  return {
    rows, columns,
    fill(toRow, { out, ring, cellPx, cellRows, cellColumns, sums, clips }) {
      if (!started) start();
      const made = filters.jpegFill(toRow, out, ring, cellPx, cellRows, cellColumns, sums, clips);
      if (made < 0) throw new JpegDamagedError();
      return made;
    },
  };
}
