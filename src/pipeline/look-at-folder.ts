import { fromShortFloats } from '../image/short-floats.js';
import { groupFrames, type FrameGroups } from '../registration/group-frames.js';
import { lightMap } from '../registration/light-map.js';
import { lastingSpecks, type LastingSpecks } from '../sharpness/lasting-specks.js';
import type { FrameMeasure } from '../sharpness/measure-plan.js';

/** What the measures say of a folder before anything is placed: little enough to keep. */
export interface FolderFacts { groups: FrameGroups; specks: LastingSpecks }

/** @param measures in file order; a few milliseconds a frame */
export function lookAtFolder(measures: readonly FrameMeasure[]): FolderFacts {
  const { cellRows, cellColumns } = measures[0], brightness = new Float32Array(cellRows * cellColumns);
  return {
    groups: groupFrames(measures.map((measure) => lightMap(fromShortFloats(measure.brightness, brightness), cellRows, cellColumns))),
    specks: lastingSpecks(measures.map((measure) => measure.energy[0]), cellRows, cellColumns),
  };
}
