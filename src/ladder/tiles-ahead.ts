import { IDENTITY } from '../registration/similarity.js';
import type { FrameMeasure, MeasurePlan } from '../sharpness/measure-plan.js';
import { tileGrid } from '../sharpness/tile-grid.js';
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

/** Frames read before their values are put tile by tile: one by one, each value would cost a cache line. */
export const FRAMES_AT_ONCE = 16;

/** Puts some frames' values tile by tile, from the given frame on. */
export function putTileByTile(some: readonly (readonly Float32Array[])[], from: number, frames: number, planes: readonly Float32Array[]): void {
  planes.forEach((plane, p) => {
    const tiles = plane.length / frames;
    some.forEach((read, i) => { for (let t = 0, to = from + i, values = read[p]; t < tiles; t++, to += frames) plane[to] = values[t]; });
  });
}

/** Reads the tiles where they stand, as a tripod's frames have them, while other frames are still read. */
export class TilesAhead {
  private readonly planes: Float32Array[];
  private readonly inside: Uint8Array;
  private readonly clear: Uint8Array;
  private readonly grid: { gridRows: number; gridColumns: number };
  private readonly waiting = new Map<number, Float32Array[]>();
  private spare: Float32Array[][] = [];
  private seen = 0;

  /** @param rows, columns measured pixels of a frame; @param frames how many there will be */
  constructor(private readonly plan: MeasurePlan, rows: number, columns: number, private readonly frames: number) {
    this.grid = tileGrid(plan, rows, columns);
    const tiles = this.grid.gridRows * this.grid.gridColumns;
    this.planes = Array.from({ length: plan.bands.length + 1 }, () => new Float32Array(tiles * frames));
    this.inside = new Uint8Array(tiles).fill(1);
    this.clear = new Uint8Array(tiles).fill(1);
  }

  /** @param place in file order, 0 … frames − 1; frames may come in any */
  add(place: number, measure: FrameMeasure): void {
    const { plan, inside, clear, frames, waiting } = this, out = this.spare.pop() ?? this.planes.map(() => new Float32Array(inside.length));
    // A follower for each frame: another stack may have used the kernel's memory in between.
    tileFollower(plan, measure, { ...this.grid, inside, clear })(measure, IDENTITY, out);
    this.seen++;
    waiting.set(place, out);
    const from = place - (place % FRAMES_AT_ONCE), places = Array.from({ length: Math.min(FRAMES_AT_ONCE, frames - from) }, (_, i) => from + i);
    if (!places.every((other) => waiting.has(other))) return;
    const some = places.map((other) => waiting.get(other)!);
    putTileByTile(some, from, frames, this.planes);
    for (const other of places) waiting.delete(other);
    this.spare = some;
  }

  /** All tiles; null where a frame is missing. They are handed over, and no longer this one's. */
  taken(): ReadTiles | null {
    if (this.seen !== this.frames) return null;
    return { energy: this.planes.slice(0, -1), brightness: this.planes[this.planes.length - 1], inside: this.inside, clear: this.clear };
  }
}
