import { fromShortFloats, NOT_A_NUMBER } from '../image/short-floats.js';

/** Fine detail that every frame shows in the same place of the picture. */
export interface LastingSpecks {
  /** Cells that hold it, and the places they make up: neighbouring cells are one. */
  cells: number;
  places: number;
  /** Of the picture, 0…1. */
  share: number;
}

/** A speck's energy stays this far above the noise in every frame, and never falls below this share of its largest. */
const LEAST_OF_NOISE = 6, LEAST_OF_LARGEST = 0.35;
const SAMPLED_CELLS = 2_000;

/**
 * Looks for cells whose fine detail neither comes nor goes with focus. A surface loses nearly all of it within two depths of field; what sits on
 * the sensor does not. Only where the frames reach far beyond every surface does that tell one from the other.
 */
export class SpeckSearch {
  /** As short floats, which are in the order of what they stand for. */
  private readonly least: Uint16Array;
  private readonly largest: Uint16Array;
  private readonly sample: number[] = [];

  /** @param rows, columns cells of a frame; @param follow another way to keep the least and the largest; false: it can't */
  constructor(private readonly rows: number, private readonly columns: number, private readonly follow: (fine: Uint16Array, least: Uint16Array, largest: Uint16Array) => boolean = () => false) {
    const count = rows * columns;
    this.least = new Uint16Array(count).fill(NOT_A_NUMBER);
    this.largest = new Uint16Array(count);
  }

  /** @param fine one frame's fine band energies, short floats, rows × columns cells */
  add(fine: Uint16Array): void {
    const { least, largest, sample } = this, count = least.length, stride = Math.max(1, Math.floor(count / SAMPLED_CELLS));
    if (!this.follow(fine, least, largest)) followPlainly(fine, least, largest);
    for (let i = 0; i < count; i += stride) sample.push(fine[i]);
  }

  /** In all frames so far. */
  found(): LastingSpecks {
    const { rows, columns } = this, plainly = (codes: Uint16Array): Float32Array => fromShortFloats(codes, new Float32Array(codes.length));
    const least = plainly(this.least), largest = plainly(this.largest), count = least.length, sample = plainly(Uint16Array.from(this.sample));
    // Somewhere, in some frame, the picture is out of focus: the twentieth part with least detail is noise.
    const floor = sample.sort()[Math.floor(0.05 * sample.length)] ?? 0, lasting = new Uint8Array(count);
    let cells = 0;
    for (let i = 0; i < count; i++) if (least[i] > LEAST_OF_NOISE * floor && least[i] > LEAST_OF_LARGEST * largest[i]) { lasting[i] = 1; cells++; }
    return { cells, places: countPlaces(lasting, rows, columns), share: count ? cells / count : 0 };
  }
}

/** Keeps the least and the largest of each cell; what is no number is neither. */
export function followPlainly(fine: Uint16Array, least: Uint16Array, largest: Uint16Array): void {
  for (let i = 0; i < fine.length; i++) { const code = fine[i]; if (code < least[i]) least[i] = code; if (code > largest[i] && code !== NOT_A_NUMBER) largest[i] = code; }
}

/** Connected cells, corners included; consumes the mask. */
function countPlaces(mask: Uint8Array, rows: number, columns: number): number {
  let places = 0;
  for (let start = 0; start < mask.length; start++) {
    if (!mask[start]) continue;
    places++;
    mask[start] = 0;
    for (const open = [start]; open.length;) {
      const at = open.pop()!, row = Math.floor(at / columns), column = at % columns;
      for (let r = Math.max(0, row - 1); r <= Math.min(rows - 1, row + 1); r++) for (let c = Math.max(0, column - 1); c <= Math.min(columns - 1, column + 1); c++) {
        const next = r * columns + c;
        if (mask[next]) { mask[next] = 0; open.push(next); }
      }
    }
  }
  return places;
}
