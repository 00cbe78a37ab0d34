import { stat } from 'node:fs/promises';
import path from 'node:path';
import type { FrameSource } from '../../pipeline/frame-source.js';
import type { FrameMeasure, MeasurePlan } from '../../sharpness/measure-plan.js';

/** Measurements of frames seen before, so that a folder that fills is read once. */
export class KeptMeasures {
  private readonly kept = new Map<string, FrameMeasure>();

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
        return source.measure(fresh.map((i) => indices[i]), plan, (index, measure) => {
          const i = place.get(index) ?? 0;
          this.kept.set(key(i), measure);
          onMeasured(i, measure);
        }, (index, reason) => onFailed(place.get(index) ?? 0, reason), signal);
      },
    };
  }
}

const planKey = (plan: MeasurePlan): string => JSON.stringify(plan);

/** Changes when the file's content does. */
async function stampOf(file: string): Promise<string> {
  const found = await stat(file).catch(() => null);
  return found === null ? 'gone' : `${found.size}:${found.mtimeMs}`;
}
