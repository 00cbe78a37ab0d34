import type { SpectrumWindows } from '../sharpness/measure-plan.js';
import { BINS, binOf, hann, sharesOf, SIZE_PX, windowPlaces } from '../sharpness/spectrum-windows.js';
import { fftFactors } from './fft-factors.js';
import type { Arena, Filters } from './filters.js';

/** As in assembly/spectra.ts. */
const TABLE_FLOATS = SIZE_PX + fftFactors.length + BINS, ROOM_BYTES = 4 * 4 * SIZE_PX ** 2 + 1536, WINDOW_BYTES = 4 * SIZE_PX ** 2;

export interface FastSpectra {
  /** Takes what rows `fromRow` … `toRow` show of the windows; row r stands at r modulo `ring`. */
  take(picture: number, ring: number, fromRow: number, toRow: number): void;
  /** Spectra of the windows once all rows were taken. @param mean of the picture */
  spectra(mean: number): SpectrumWindows;
}

/** {@link spectrumWindows} of a picture in the filters' memory whose rows come one after another; room is taken from the arena here and now. */
export function fastSpectra(filters: Filters, arena: Arena, rows: number, columns: number): FastSpectra {
  const places = windowPlaces(rows, columns), count = places.row.length;
  const corners = arena.take(8 * count), windows = arena.take(WINDOW_BYTES * count), tables = arena.take(4 * TABLE_FLOATS + binOf.length), room = arena.take(ROOM_BYTES), out = arena.take(4 * BINS * count);
  let placed = false;
  const place = (): void => {
    const at = new Int32Array(filters.memory.buffer, corners, 2 * count);
    for (let i = 0; i < count; i++) { at[2 * i] = places.row[i] - SIZE_PX / 2; at[2 * i + 1] = places.column[i] - SIZE_PX / 2; }
    placed = true;
  };
  return {
    take(picture, ring, fromRow, toRow) {
      if (!placed) place();
      filters.windowRows(picture, ring, columns, fromRow, toRow, corners, count, windows);
    },
    spectra(mean) {
      const { buffer } = filters.memory, floats = new Float32Array(buffer, tables, TABLE_FLOATS);
      floats.set(hann);
      floats.set(fftFactors, SIZE_PX);
      floats.set(sharesOf(mean), SIZE_PX + fftFactors.length);
      new Uint8Array(buffer, tables + 4 * TABLE_FLOATS, binOf.length).set(binOf);
      filters.radialSpectra(windows, count, tables, room, out);
      return { sizePx: SIZE_PX, ...places, bins: BINS, power: new Float32Array(buffer, out, BINS * count).slice() };
    },
  };
}
