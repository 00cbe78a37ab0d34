import type { SpectrumWindows } from '../sharpness/measure-plan.js';
import { BINS, binOf, hann, sharesOf, SIZE_PX, windowPlaces } from '../sharpness/spectrum-windows.js';
import { fftFactors } from './fft-factors.js';
import type { Arena, Filters } from './filters.js';

/** As in assembly/spectra.ts. */
const TABLE_FLOATS = SIZE_PX + fftFactors.length + BINS, ROOM_BYTES = 4 * 4 * SIZE_PX ** 2 + 1536;

/** {@link spectrumWindows} of a picture in the filters' memory. */
export function fastSpectra(filters: Filters, arena: Arena, at: number, rows: number, columns: number, mean: number): SpectrumWindows {
  const places = windowPlaces(rows, columns), count = places.row.length;
  const asked = arena.take(8 * count), tables = arena.take(4 * TABLE_FLOATS + binOf.length), room = arena.take(ROOM_BYTES), out = arena.take(4 * BINS * count), { buffer } = filters.memory;
  const floats = new Float32Array(buffer, tables, TABLE_FLOATS), corners = new Int32Array(buffer, asked, 2 * count);
  floats.set(hann);
  floats.set(fftFactors, SIZE_PX);
  floats.set(sharesOf(mean), SIZE_PX + fftFactors.length);
  new Uint8Array(buffer, tables + 4 * TABLE_FLOATS, binOf.length).set(binOf);
  for (let i = 0; i < count; i++) { corners[2 * i] = places.row[i] - SIZE_PX / 2; corners[2 * i + 1] = places.column[i] - SIZE_PX / 2; }
  filters.radialSpectra(at, columns, asked, count, tables, room, out);
  return { sizePx: SIZE_PX, ...places, bins: BINS, power: new Float32Array(buffer, out, BINS * count).slice() };
}
