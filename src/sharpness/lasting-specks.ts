import { fromShortFloats } from '../image/short-floats.js';

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
  private readonly values: Float32Array;
  private readonly least: Float32Array;
  private readonly largest: Float32Array;
  private readonly sample: number[] = [];

  /** @param rows, columns cells of a frame */
  constructor(private readonly rows: number, private readonly columns: number) {
    const count = rows * columns;
    this.values = new Float32Array(count);
    this.least = new Float32Array(count).fill(Infinity);
    this.largest = new Float32Array(count);
  }

  /** @param fine one frame's fine band energies, short floats, rows × columns cells */
  add(fine: Uint16Array): void {
    const { values, least, largest, sample } = this, count = values.length, stride = Math.max(1, Math.floor(count / SAMPLED_CELLS));
    fromShortFloats(fine, values);
    for (let i = 0; i < count; i++) { const v = values[i]; if (v < least[i]) least[i] = v; if (v > largest[i]) largest[i] = v; }
    for (let i = 0; i < count; i += stride) sample.push(values[i]);
  }

  /** In all frames so far. */
  found(): LastingSpecks {
    const { least, largest, rows, columns } = this, count = least.length, sample = Float64Array.from(this.sample);
    // Somewhere, in some frame, the picture is out of focus: the twentieth part with least detail is noise.
    const floor = sample.sort()[Math.floor(0.05 * sample.length)] ?? 0, lasting = new Uint8Array(count);
    let cells = 0;
    for (let i = 0; i < count; i++) if (least[i] > LEAST_OF_NOISE * floor && least[i] > LEAST_OF_LARGEST * largest[i]) { lasting[i] = 1; cells++; }
    return { cells, places: countPlaces(lasting, rows, columns), share: count ? cells / count : 0 };
  }
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
