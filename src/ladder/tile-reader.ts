import type { Similarity } from '../registration/similarity.js';
import type { FrameMeasure, MeasurePlan } from '../sharpness/measure-plan.js';
import { tileGrid } from '../sharpness/tile-grid.js';
import { MOST_COPIED, withKernel } from './fast-kernel.js';
import { tileFollower } from './follow-tiles.js';

/** What is read of all frames' tiles. */
export interface ReadTiles {
  /** Per band, tile × frame: energies as measured. */
  energy: Float32Array[];
  /** tile × frame: ln brightness. */
  brightness: Float32Array;
  /** 1: the tile lies inside every frame. */
  inside: Uint8Array;
  /** 1: no clipped pixel within reach of the filters in any frame. */
  clear: Uint8Array;
}

/** Frames read before their values are put tile by tile: one by one, each value would cost a cache line. Of so few values all frames together, by the kernel. */
const FRAMES_AT_ONCE = 16;

/** Reads the tiles of a stack's frames as they come, in any order. */
export class TileReader {
  private readonly planes: Float32Array[];
  private readonly inside: Uint8Array;
  private readonly clear: Uint8Array;
  private readonly grid: { gridRows: number; gridColumns: number };
  private readonly waiting = new Map<number, Float32Array[]>();
  private spare: Float32Array[][] = [];
  private seen = 0;

  /**
   * @param rows, columns measured pixels of a frame
   * @param frames how many there will be
   * @param used arrays of so many frames that are no longer needed: they are filled anew
   */
  constructor(private readonly plan: MeasurePlan, rows: number, columns: number, private readonly frames: number, used?: Pick<ReadTiles, 'energy' | 'brightness'>) {
    this.grid = tileGrid(plan, rows, columns);
    const tiles = this.grid.gridRows * this.grid.gridColumns;
    this.planes = used ? [...used.energy, used.brightness] : Array.from({ length: plan.bands.length + 1 }, () => new Float32Array(tiles * frames));
    this.inside = new Uint8Array(tiles).fill(1);
    this.clear = new Uint8Array(tiles).fill(1);
  }

  /**
   * @param place in file order, 0 … frames − 1
   * @param transform from the reference frame to this one, centred measured pixels
   */
  add(place: number, measure: FrameMeasure, transform: Similarity): void {
    const { plan, inside, clear, frames, waiting } = this, out = this.spare.pop() ?? this.planes.map(() => new Float32Array(inside.length));
    // A follower for each frame: another stack may have used the kernel's memory in between.
    tileFollower(plan, measure, { ...this.grid, inside, clear })(measure, transform, out);
    this.seen++;
    waiting.set(place, out);
    const atOnce = inside.length * frames <= MOST_COPIED ? frames : FRAMES_AT_ONCE, from = place - (place % atOnce), places = Array.from({ length: Math.min(atOnce, frames - from) }, (_, i) => from + i);
    if (!places.every((other) => waiting.has(other))) return;
    const some = places.map((other) => waiting.get(other)!);
    this.planes.forEach((plane, p) => { if (!(some.length === frames && fastByTile(some.map((read) => read[p]), plane))) some.forEach((read, i) => plainByTile(read[p], plane, from + i, frames)); });
    for (const other of places) waiting.delete(other);
    this.spare = some;
  }

  /** All tiles; null where a frame is missing. They are handed over, and no longer this one's. */
  taken(): ReadTiles | null {
    if (this.seen !== this.frames) return null;
    return { energy: this.planes.slice(0, -1), brightness: this.planes[this.planes.length - 1], inside: this.inside, clear: this.clear };
  }
}

/** A frame's values, one a tile, where they belong among those of all frames. */
function plainByTile(values: Float32Array, plane: Float32Array, first: number, frames: number): void {
  for (let t = 0, to = first; t < values.length; t++, to += frames) plane[to] = values[t];
}

/** The same of all frames in WebAssembly; false, and nothing done, where there are too many values, or there is none, or no room. */
function fastByTile(read: readonly Float32Array[], plane: Float32Array): boolean {
  return plane.length > MOST_COPIED ? false : withKernel(({ kernel, arena }) => {
    const tiles = read[0].length, readAt = arena.take(4 * plane.length), outAt = arena.take(4 * plane.length), { buffer } = kernel.memory;
    read.forEach((values, k) => new Float32Array(buffer, readAt + 4 * tiles * k, tiles).set(values));
    kernel.byTile(readAt, read.length, tiles, outAt);
    plane.set(new Float32Array(buffer, outAt, plane.length));
    return true;
  }) ?? false;
}
