import { firstCurves } from '../ladder/solve-ladder.js';
import { TileReader, type ReadTiles } from '../ladder/tile-reader.js';
import { windowLeakage } from '../ladder/window-leakage.js';
import { PairsAhead } from '../registration/pairs-ahead.js';
import { ShiftsAhead } from '../registration/shifts-ahead.js';
import { IDENTITY } from '../registration/similarity.js';
import type { FrameMeasure, MeasurePlan } from '../sharpness/measure-plan.js';
import { MeasureSlabs } from '../sharpness/measure-slabs.js';
import { FolderLook, type FolderFacts } from './look-at-folder.js';

/**
 * All that can be done of frames while others are still read, so that it has not to be waited for once the last is there. What comes of it is the same
 * whatever the order they arrive in.
 */
export class MeanwhileWork {
  private readonly slabs: MeasureSlabs;
  private readonly pairs = new PairsAhead();
  private readonly shifts: ShiftsAhead;
  private look: FolderLook | null = null;
  private reader: TileReader | null = null;

  /** @param frames how many will be read */
  constructor(private readonly plan: MeasurePlan, private readonly frames: number) {
    this.slabs = new MeasureSlabs(false, frames);
    this.shifts = new ShiftsAhead(frames >> 1, frames);
    // Tables that the solve will ask for.
    setImmediate(() => { firstCurves(plan); windowLeakage(); });
  }

  /**
   * @param place in file order
   * @returns the measure, kept compactly; the one given can be let go
   */
  add(place: number, measure: FrameMeasure): FrameMeasure {
    const kept = this.slabs.keep(measure), { rows, columns, cellRows, cellColumns, registration } = kept;
    this.pairs.add(place, registration);
    this.shifts.add(place, registration);
    (this.look ??= new FolderLook(cellRows, cellColumns)).add(place, kept);
    // Where they stand, as a tripod's frames have them.
    (this.reader ??= new TileReader(this.plan, rows, columns, this.frames)).add(place, kept, IDENTITY);
    return kept;
  }

  /** What the frames seen say of the folder; one at least was. */
  folder(): FolderFacts { return this.look!.facts(); }

  /** The tiles where they stand, handed over; null where a frame could not be read. */
  tiles(): ReadTiles | null {
    const read = this.reader?.taken() ?? null;
    this.reader = null;
    return read;
  }
}
