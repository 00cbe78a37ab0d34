import path from 'node:path';
import type { FrameSource } from '../../pipeline/frame-source.js';
import type { FrameMeasure, MeasurePlan } from '../../sharpness/measure-plan.js';
import { MeasureSlabs } from '../../sharpness/measure-slabs.js';
import { stampOf } from './kept-folder.js';

export type KeptEntries = [key: string, measure: FrameMeasure][];

/** Measurements of frames seen before, so that a folder that fills is read once. They stay the same objects: pairs of frames registered before are known by them. */
export class KeptMeasures {
  private readonly kept: Map<string, FrameMeasure>;
  private readonly slabs = new MeasureSlabs(true);

  /** @param entries from another thread's {@link entries} */
  constructor(entries: KeptEntries = []) { this.kept = new Map(entries); }

  /** All that is kept, for another thread: their large arrays are shared, not copied. */
  entries(): KeptEntries { return [...this.kept]; }

  /**
   * The same stack, or some of its frames, reading only what was not read before.
   *
   * @param files the frames wanted, in the order of the source; all where left out
   */
  async over(source: FrameSource, files?: ReadonlySet<string>): Promise<FrameSource> {
    const indices = source.frames.flatMap((frame, i) => (files === undefined || files.has(frame.file) ? [i] : []));
    const stamps = await Promise.all(indices.map((i) => stampOf(path.join(source.folder, source.frames[i].file))));
    return {
      folder: source.folder,
      frames: indices.map((i) => source.frames[i]),
      measure: async (wanted, plan, onMeasured, onFailed, signal) => {
        const key = (i: number): string => `${source.frames[indices[i]].file}|${stamps[i]}|${planKey(plan)}`;
        const place = new Map(indices.map((index, i) => [index, i]));
        const fresh = wanted.filter((i) => !this.kept.has(key(i)));
        for (const i of wanted) {
          const measure = this.kept.get(key(i));
          if (measure) onMeasured(i, measure);
        }
        if (fresh.length === 0) return { decodeMs: 0 };
        return source.measure(fresh.map((i) => indices[i]), plan, (index, given) => {
          const i = place.get(index) ?? 0, measure = this.slabs.keep(given);
          this.kept.set(key(i), measure);
          onMeasured(i, measure);
        }, (index, reason) => onFailed(place.get(index) ?? 0, reason), signal);
      },
    };
  }
}

const planKey = (plan: MeasurePlan): string => JSON.stringify(plan);
