import { Arena } from '../simd/filters.js';
import { fftFactors } from '../simd/fft-factors.js';
import type { RegistrationKernel } from '../simd/registration-kernel.js';
import type { RobustFit, WindowShifts } from './fit-similarity.js';
import { windowGrid, type PhaseShifts, type PlacedWindows, type WindowPicture } from './placed-windows.js';
import { bandFrequencies, WINDOW_PX } from './window-spectrum.js';

/** Pictures kept with the spectra of their own windows: a frame is compared with the next two. */
const SLOTS = 4;
/** As in assembly/register.ts. */
const COUNT = (bandFrequencies.count + 3) & ~3, SPECTRUM_BYTES = 8 * COUNT, TABLES_BYTES = 4 * (2 * WINDOW_PX + fftFactors.length) + 16 * COUNT;
const WINDOW_BYTES = 16, QUESTION_BYTES = 16, ANSWER_BYTES = 12, ROOM_BYTES = 4 * 4 * WINDOW_PX ** 2 + 1536;
/** As in assembly/robust-fit.ts: numbers a window, what is given and room, and numbers that come out. */
const FIT_ROWS = 5 + 3, FIT_NUMBERS = 9;

/** The kernel's memory, laid out for pictures of one size. */
interface Layout { rows: number; columns: number; pictures: number[]; spectra: number[]; shown: number; windows: number; questions: number; answers: number; room: number; fitted: number }

let used: FastWindows | null = null;

/** Lets this thread's registrations run by the SIMD kernel; null: by the plain code, which gives the same numbers slower. */
export function useRegistrationKernel(kernel: RegistrationKernel | null): void { used = kernel && new FastWindows(kernel); }

/** Whether there is one. */
export const registersFast = (): boolean => used !== null;

/** {@link plainShifts} by the kernel; null where there is none, or the platform grants it too little memory. */
export function fastShifts(a: WindowPicture, b: WindowPicture, windows: PlacedWindows, follow: boolean): PhaseShifts | null {
  try {
    return used && a.rows === b.rows && a.columns === b.columns ? used.shifts(a, b, windows, follow) : null;
  } catch (error) {
    if (error instanceof RangeError) return null;
    throw error;
  }
}

/** plainRobustFit by the kernel, which has compared the windows before; null where there is none. */
export function fastRobustFit(y: readonly number[], x: readonly number[], shifts: Pick<WindowShifts, 'dRow' | 'dColumn' | 'weight'>): RobustFit | null { return used?.fit(y, x, shifts) ?? null; }

class FastWindows {
  private readonly arena: Arena;
  private layout: Layout | null = null;
  /** Which entry of which picture a slot holds: pictures are known by their pixels, and may be let go elsewhere. */
  private readonly entries = new WeakMap<WindowPicture['pixels'], number>();
  private held: { entry: number; spectra: boolean }[] = [];
  private entry = 0;

  constructor(private readonly kernel: RegistrationKernel) { this.arena = new Arena(kernel); }

  shifts(a: WindowPicture, b: WindowPicture, windows: PlacedWindows, follow: boolean): PhaseShifts {
    const layout = this.layoutFor(a), first = this.slotOf(layout, a, -1), second = this.slotOf(layout, b, first), { kernel } = this, count = windows.row.length;
    this.ownSpectra(layout, first, a);
    // Looked for in place, windows of the second are the second's own.
    const own = !follow && windows.bTop.every((top, i) => top === windows.top[i] && windows.bLeft[i] === windows.left[i]);
    if (own) this.ownSpectra(layout, second, b);
    else this.spectra(layout, second, windows.bTop, windows.bLeft, follow ? windows : null, layout.shown);
    const { buffer } = kernel.memory, asked = new Uint32Array(buffer, layout.questions, 4 * count), expected = new Float32Array(buffer, layout.questions, 4 * count);
    for (let i = 0; i < count; i++) {
      asked[4 * i] = layout.spectra[first] + windows.place[i] * SPECTRUM_BYTES;
      asked[4 * i + 1] = own ? layout.spectra[second] + windows.place[i] * SPECTRUM_BYTES : layout.shown + i * SPECTRUM_BYTES;
      expected[4 * i + 2] = windows.beyondRow[i];
      expected[4 * i + 3] = windows.beyondColumn[i];
    }
    kernel.phaseShifts(layout.questions, count, layout.room, layout.answers);
    const answers = new Float32Array(buffer, layout.answers, 3 * count), found: PhaseShifts = { row: [], column: [], coherence: [] };
    for (let i = 0; i < count; i++) { found.row.push(answers[3 * i]); found.column.push(answers[3 * i + 1]); found.coherence.push(answers[3 * i + 2]); }
    return found;
  }

  fit(y: readonly number[], x: readonly number[], { dRow, dColumn, weight }: Pick<WindowShifts, 'dRow' | 'dColumn' | 'weight'>): RobustFit | null {
    const { layout, kernel } = this, count = y.length;
    if (layout === null || count > windowGrid(layout.rows, layout.columns).length) return null;
    const { buffer } = kernel.memory, values = layout.fitted, out = values + 8 * FIT_ROWS * count;
    [y, x, dRow, dColumn, weight].forEach((row, i) => new Float64Array(buffer, values + 8 * i * count, count).set(row));
    kernel.robustFit(values, count, values + 8 * 5 * count, out);
    const [row, column, turn, lnScale, shiftUnit, turnUnit, scatter, good, all] = new Float64Array(buffer, out, FIT_NUMBERS);
    return { correction: [row, column, turn, lnScale], variance: [shiftUnit, shiftUnit, turnUnit, turnUnit], scatter, good, all };
  }

  private layoutFor({ rows, columns }: WindowPicture): Layout {
    if (this.layout?.rows === rows && this.layout.columns === columns) return this.layout;
    this.layout = null;
    this.held = [];
    const { arena, kernel } = this, most = windowGrid(rows, columns).length;
    arena.reset();
    const tables = arena.take(TABLES_BYTES), pictures: number[] = [], spectra: number[] = [];
    for (let i = 0; i < SLOTS; i++) { pictures.push(arena.take(4 * rows * columns)); spectra.push(arena.take(most * SPECTRUM_BYTES)); }
    const layout: Layout = {
      rows, columns, pictures, spectra, shown: arena.take(most * SPECTRUM_BYTES), windows: arena.take(most * WINDOW_BYTES),
      questions: arena.take(most * QUESTION_BYTES), answers: arena.take(most * ANSWER_BYTES), room: arena.take(ROOM_BYTES), fitted: arena.take(8 * (FIT_ROWS * most + FIT_NUMBERS)),
    };
    writeTables(kernel.memory.buffer, tables);
    kernel.start(tables, bandFrequencies.count);
    return this.layout = layout;
  }

  /** @param other slot that must stay as it is */
  private slotOf(layout: Layout, { pixels }: WindowPicture, other: number): number {
    const known = this.entries.get(pixels);
    if (known !== undefined && this.held[known % SLOTS]?.entry === known) return known % SLOTS;
    let entry = ++this.entry;
    if (entry % SLOTS === other) entry = ++this.entry;
    const slot = entry % SLOTS;
    this.entries.set(pixels, entry);
    this.held[slot] = { entry, spectra: false };
    new Float32Array(this.kernel.memory.buffer, layout.pictures[slot], pixels.length).set(pixels);
    return slot;
  }

  /** Spectra of all windows of a picture's own grid. */
  private ownSpectra(layout: Layout, slot: number, { rows, columns }: WindowPicture): void {
    if (this.held[slot].spectra) return;
    const grid = windowGrid(rows, columns);
    this.spectra(layout, slot, grid.map(({ top }) => top), grid.map(({ left }) => left), null, layout.spectra[slot]);
    this.held[slot].spectra = true;
  }

  private spectra(layout: Layout, slot: number, top: readonly number[], left: readonly number[], beyond: PlacedWindows | null, out: number): void {
    const { kernel } = this, count = top.length, whole = new Int32Array(kernel.memory.buffer, layout.windows, 4 * count), parts = new Float32Array(kernel.memory.buffer, layout.windows, 4 * count);
    for (let i = 0; i < count; i++) {
      whole[4 * i] = top[i];
      whole[4 * i + 1] = left[i];
      parts[4 * i + 2] = beyond ? beyond.beyondRow[i] : 0;
      parts[4 * i + 3] = beyond ? beyond.beyondColumn[i] : 0;
    }
    kernel.windowSpectra(layout.pictures[slot], layout.columns, layout.windows, count, layout.room, out);
  }
}

/** As assembly/register.ts wants them. */
function writeTables(buffer: ArrayBuffer, at: number): void {
  const floats = new Float32Array(buffer, at, 2 * WINDOW_PX + fftFactors.length + 2 * COUNT).fill(0), places = new Uint32Array(buffer, at + floats.byteLength, 2 * COUNT).fill(0);
  for (let i = 0; i < WINDOW_PX; i++) {
    const angle = (2 * Math.PI * (i + 0.5)) / WINDOW_PX;
    floats[i] = Math.cos(angle);
    floats[WINDOW_PX + i] = Math.sin(angle);
  }
  floats.set(fftFactors, 2 * WINDOW_PX);
  const frequencies = 2 * WINDOW_PX + fftFactors.length;
  floats.set(bandFrequencies.row, frequencies);
  floats.set(bandFrequencies.column, frequencies + COUNT);
  bandFrequencies.at.forEach((place, i) => {
    const column = Math.floor(place / WINDOW_PX), row = place % WINDOW_PX;
    places[2 * i] = 4 * place;
    places[2 * i + 1] = 4 * (((WINDOW_PX - column) % WINDOW_PX) * WINDOW_PX + ((WINDOW_PX - row) % WINDOW_PX));
  });
}
