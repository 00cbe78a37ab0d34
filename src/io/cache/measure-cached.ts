import { createHash } from 'node:crypto';
import path from 'node:path';
import { CancelledError } from '../../contract/errors.js';
import type { FrameSource } from '../../pipeline/frame-source.js';
import type { FrameMeasure, MeasurePlan } from '../../sharpness/measure-plan.js';
import { liesIn } from '../lies-in.js';
import { fileStamp, type FileStamp } from './file-stamp.js';
import { MeasureStore } from './measure-store.js';
import { measuringCode } from './measuring-code.js';

/** Entries looked up at a time: enough to hide a slow drive's waits, few enough for memory. */
const AT_ONCE = 8;

interface Known { key: string; stamp: FileStamp }

/** How a source measures by what a store in a folder knows of the frames' content, and keeps there what is measured anew. */
export function measureCached(source: FrameSource, folder: string, limitBytes: number): FrameSource['measure'] {
  const store = new MeasureStore(folder, limitBytes);
  return (...asked) => measureBy(store, folder, source, ...asked);
}

async function measureBy(store: MeasureStore, folder: string, source: FrameSource, ...[indices, plan, onMeasured, onFailed, signal]: Parameters<FrameSource['measure']>): ReturnType<FrameSource['measure']> {
  const [code, inStack] = await Promise.all([measuringCode().catch(() => null), liesIn(folder, source.folder)]);
  if (code === null || inStack) return source.measure(indices, plan, onMeasured, onFailed, signal);
  const known = new Map<number, Known>(), fresh: number[] = [], queue = indices.slice();
  const lookUp = async (): Promise<void> => {
    for (let index = queue.shift(); index !== undefined; index = queue.shift()) {
      if (signal?.aborted) throw new CancelledError();
      const measure = await found(index);
      if (measure !== null) onMeasured(index, measure);
      else fresh.push(index);
    }
  };
  const found = async (index: number): Promise<FrameMeasure | null> => {
    const { file, rows, columns, problem } = source.frames[index];
    const stamp = problem === null ? await fileStamp(path.join(source.folder, file)) : null;
    if (stamp === null) return null;
    const key = entryKey(stamp, plan, code);
    known.set(index, { key, stamp });
    const measure = await store.get(key);
    return measure !== null && measure.rows === Math.floor(rows / plan.bin) && measure.columns === Math.floor(columns / plan.bin) ? measure : null;
  };
  await Promise.all(Array.from({ length: AT_ONCE }, lookUp));
  if (fresh.length === 0) return { decodeMs: 0, cachedFrames: indices.length };
  // One at a time: packed entries waiting to be written would fill the memory.
  let keeping: Promise<void> = Promise.resolve();
  const spent = await source.measure(fresh.sort((a, b) => a - b), plan, (index, measure) => {
    keeping = keeping.then(() => keep(store, path.join(source.folder, source.frames[index].file), known.get(index), measure));
    onMeasured(index, measure);
  }, onFailed, signal);
  await keeping;
  await store.trim();
  return { ...spent, cachedFrames: indices.length - fresh.length };
}

/** Kept only where the file is the same after reading as before: then it was so all the while. */
async function keep(store: MeasureStore, file: string, known: Known | undefined, measure: FrameMeasure): Promise<void> {
  if (known === undefined || !known.stamp.settled) return;
  if ((await fileStamp(file))?.id === known.stamp.id) await store.put(known.key, measure);
}

function entryKey(stamp: FileStamp, plan: MeasurePlan, code: string): string {
  return createHash('sha256').update(`${stamp.id}\n${code}\n${JSON.stringify(plan)}`).digest('hex');
}
