import { fromShortFloats } from '../image/short-floats.js';
import { fastBlockMeans, followFast } from '../ladder/fast-look-at-folder.js';
import { groupFrames, type FrameGroups } from '../registration/group-frames.js';
import { blocksOf, lightMap, plainBlockMeans, type LightMap } from '../registration/light-map.js';
import { SpeckSearch, type LastingSpecks } from '../sharpness/lasting-specks.js';
import type { FrameMeasure } from '../sharpness/measure-plan.js';

/** What the measures say of a folder before anything is placed: little enough to keep. */
export interface FolderFacts { groups: FrameGroups; specks: LastingSpecks }

/** Looks at a folder's frames one by one, while others are read. */
export class FolderLook {
  private readonly light = new Map<number, LightMap>();
  private readonly specks: SpeckSearch;

  constructor(private readonly cellRows: number, private readonly cellColumns: number) {
    this.specks = new SpeckSearch(cellRows, cellColumns, followFast);
  }

  /** @param place in file order; frames may come in any; a few milliseconds a frame */
  add(place: number, { brightness, energy }: FrameMeasure): void {
    const { cellRows, cellColumns } = this, { down, across } = blocksOf(cellRows, cellColumns);
    const means = fastBlockMeans(brightness, cellRows, cellColumns, down, across) ?? plainBlockMeans(fromShortFloats(brightness, new Float32Array(brightness.length)), cellRows, cellColumns);
    this.light.set(place, lightMap(means, cellRows, cellColumns));
    this.specks.add(energy[0]);
  }

  /** Of all frames seen. */
  facts(): FolderFacts {
    return { groups: groupFrames([...this.light].sort(([a], [b]) => a - b).map(([, map]) => map)), specks: this.specks.found() };
  }
}
