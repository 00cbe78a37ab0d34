import type { CoarseKernel } from '../simd/coarse-kernel.js';
import { Arena } from '../simd/filters.js';
import { passOn, powerOfTwo, shiftAt, taper, type PixelShift, type RegistrationPicture } from './coarse-shift.js';

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
  private readonly at: { re: number; im: number; refRe: number; refIm: number; factors: number; room: number; pixels: number; down: AxisTables; across: AxisTables };

  /** @throws RangeError where the platform grants too little memory */
  constructor(private readonly kernel: CoarseKernel, reference: RegistrationPicture) {
    owner = this.token;
    const rows = this.rows = powerOfTwo(reference.rows), columns = this.columns = powerOfTwo(reference.columns), plane = 4 * rows * columns, longest = Math.max(rows, columns), arena = new Arena(kernel);
    const at = this.at = {
      re: arena.take(plane), im: arena.take(plane), refRe: arena.take(plane), refIm: arena.take(plane),
      factors: arena.take(4 * longest), room: arena.take(2 * Math.max(64 * rows, 16 * columns)), pixels: arena.take(2 * reference.rows * reference.columns), down: roomFor(arena, rows), across: roomFor(arena, columns),
    };
    const { buffer } = kernel.memory, factors = new Float32Array(buffer, at.factors, longest);
    for (let k = 0; 2 * k < longest; k++) { const angle = (2 * Math.PI * k) / longest; factors[2 * k] = Math.cos(angle); factors[2 * k + 1] = -Math.sin(angle); }
    writeAxis(buffer, at.down, reference.rows, rows);
    writeAxis(buffer, at.across, reference.columns, columns);
    this.fill(at.re, reference);
    new Float32Array(buffer, at.im, rows * columns).fill(0);
    kernel.transform(at.re, at.im, rows, columns, at.factors, at.room, false);
    new Uint8Array(buffer).copyWithin(at.refRe, at.re, at.re + plane).copyWithin(at.refIm, at.im, at.im + plane);
  }

  /** False: another came, and took the memory. */
  holds(): boolean { return owner === this.token; }

  /** As CoarseShift's; only while it {@link holds}. */
  of(first: RegistrationPicture, second?: RegistrationPicture): [PixelShift, PixelShift] {
    const { kernel, at, rows, columns } = this, size = rows * columns;
    this.fill(at.re, first);
    if (second) this.fill(at.im, second); else new Float32Array(kernel.memory.buffer, at.im, size).fill(0);
    kernel.transform(at.re, at.im, rows, columns, at.factors, at.room, false);
    kernel.correlate(at.re, at.im, at.refRe, at.refIm, at.down.pass, at.across.pass, rows, columns, at.down.opposite, at.across.opposite);
    kernel.transform(at.re, at.im, rows, columns, at.factors, at.room, true);
    return [shiftAt(kernel.highest(at.re, size), rows, columns), shiftAt(kernel.highest(at.im, size), rows, columns)];
  }

  private fill(plane: number, { rows, columns, pixels }: RegistrationPicture): void {
    const { kernel, at } = this;
    new Int16Array(kernel.memory.buffer, at.pixels, pixels.length).set(pixels);
    kernel.fill(at.pixels, rows, columns, at.down.taper, at.across.taper, plane, this.rows, this.columns);
  }
}

/** Addresses of an axis' weights of pixels and of frequencies, and of where opposite frequencies stand. */
interface AxisTables { taper: number; pass: number; opposite: number }

const roomFor = (arena: Arena, length: number): AxisTables => ({ taper: arena.take(4 * length), pass: arena.take(4 * length), opposite: arena.take(4 * length) });

/** @param pixels of the picture; @param length of the plane */
function writeAxis(buffer: ArrayBuffer, { taper: weights, pass, opposite }: AxisTables, pixels: number, length: number): void {
  const standing = standingPlaces(length), passes = new Float32Array(buffer, pass, length);
  new Float32Array(buffer, weights, pixels).set(Float32Array.from({ length: pixels }, (_, i) => taper(i, pixels)));
  standing.forEach((place, i) => { passes[place] = passOn(i, length); });
  new Int32Array(buffer, opposite, length).set(opposites(standing));
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
