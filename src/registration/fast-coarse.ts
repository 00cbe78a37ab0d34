import type { CoarseKernel } from '../simd/coarse-kernel.js';
import { Arena } from '../simd/filters.js';
import { highestAt, passAt, powerOfTwo, taper, type PixelShift, type RegistrationPicture } from './coarse-shift.js';

/** The kernel goes by sixteen columns at a time. */
const LEAST_EDGE = 16;

let used: CoarseKernel | null = null;

/** Lets this thread's coarse shifts be found by the SIMD kernel; null: by the plain code. */
export function useCoarseKernel(kernel: CoarseKernel | null): void { used = kernel; }

/** {@link CoarseShift} by the kernel; null where there is none, the picture is tiny, or the platform grants too little memory. */
export function fastCoarseShift(reference: RegistrationPicture): FastCoarseShift | null {
  if (!used || Math.min(reference.rows, reference.columns) < LEAST_EDGE) return null;
  try {
    return new FastCoarseShift(used, reference);
  } catch (error) {
    if (error instanceof RangeError) return null;
    throw error;
  }
}

/** Whose the kernel's memory is. */
let owner: object | null = null;

/** All of the kernel's memory is this one's: whoever comes next takes it. */
export class FastCoarseShift {
  private readonly token = {};
  private readonly rows: number;
  private readonly columns: number;
  private readonly at: { re: number; im: number; refRe: number; refIm: number; pass: number; factors: number; room: number; oppositeRow: number; oppositeColumn: number };
  private readonly taperRow: Float32Array;
  private readonly taperColumn: Float32Array;

  /** @throws RangeError where the platform grants too little memory */
  constructor(private readonly kernel: CoarseKernel, reference: RegistrationPicture) {
    owner = this.token;
    const rows = this.rows = powerOfTwo(reference.rows), columns = this.columns = powerOfTwo(reference.columns), plane = 4 * rows * columns, longest = Math.max(rows, columns), arena = new Arena(kernel);
    const at = this.at = {
      re: arena.take(plane), im: arena.take(plane), refRe: arena.take(plane), refIm: arena.take(plane), pass: arena.take(plane),
      factors: arena.take(4 * longest), room: arena.take(2 * Math.max(64 * rows, 16 * columns)), oppositeRow: arena.take(4 * rows), oppositeColumn: arena.take(4 * columns),
    };
    this.taperRow = Float32Array.from({ length: reference.rows }, (_, i) => taper(i, reference.rows));
    this.taperColumn = Float32Array.from({ length: reference.columns }, (_, i) => taper(i, reference.columns));
    const { buffer } = kernel.memory, factors = new Float32Array(buffer, at.factors, longest);
    for (let k = 0; 2 * k < longest; k++) { const angle = (2 * Math.PI * k) / longest; factors[2 * k] = Math.cos(angle); factors[2 * k + 1] = -Math.sin(angle); }
    const down = standingPlaces(rows), across = standingPlaces(columns), pass = new Float32Array(buffer, at.pass, rows * columns);
    new Int32Array(buffer, at.oppositeRow, rows).set(opposites(down));
    new Int32Array(buffer, at.oppositeColumn, columns).set(opposites(across));
    for (let r = 0; r < rows; r++) for (let c = 0; c < columns; c++) pass[down[r] * columns + across[c]] = passAt(r, c, rows, columns);
    this.fill(at.re, reference);
    new Float32Array(buffer, at.im, rows * columns).fill(0);
    kernel.transform(at.re, at.im, rows, columns, at.factors, at.room, false);
    new Uint8Array(buffer).copyWithin(at.refRe, at.re, at.re + plane).copyWithin(at.refIm, at.im, at.im + plane);
  }

  /** False: another came, and took the memory. */
  holds(): boolean { return owner === this.token; }

  /** As CoarseShift's; only while it {@link holds}. */
  of(first: RegistrationPicture, second?: RegistrationPicture): [PixelShift, PixelShift] {
    const { kernel, at, rows, columns } = this, re = new Float32Array(kernel.memory.buffer, at.re, rows * columns), im = new Float32Array(kernel.memory.buffer, at.im, rows * columns);
    this.fill(at.re, first);
    if (second) this.fill(at.im, second); else im.fill(0);
    kernel.transform(at.re, at.im, rows, columns, at.factors, at.room, false);
    kernel.correlate(at.re, at.im, at.refRe, at.refIm, at.pass, rows, columns, at.oppositeRow, at.oppositeColumn);
    kernel.transform(at.re, at.im, rows, columns, at.factors, at.room, true);
    return [highestAt(re, rows, columns), highestAt(im, rows, columns)];
  }

  private fill(at: number, { rows, columns, pixels }: RegistrationPicture): void {
    const to = new Float32Array(this.kernel.memory.buffer, at, this.rows * this.columns).fill(0);
    for (let r = 0, i = 0; r < rows; r++) for (let c = 0, j = r * this.columns, share = this.taperRow[r]; c < columns; c++, i++, j++) to[j] = pixels[i] * share * this.taperColumn[c];
  }
}

/** Where each frequency stands in a spectrum of this length: at its index with the bits reversed. */
function standingPlaces(length: number): Int32Array {
  const places = new Int32Array(length);
  for (let i = 1; i < length; i++) places[i] = (places[i >> 1] >> 1) | (i & 1 ? length >> 1 : 0);
  return places;
}

function opposites(places: Int32Array): Int32Array {
  const out = new Int32Array(places.length);
  places.forEach((place, i) => { out[place] = places[(places.length - i) % places.length]; });
  return out;
}
