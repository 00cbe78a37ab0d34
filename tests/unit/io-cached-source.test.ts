import { existsSync, mkdirSync, readdirSync, symlinkSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { afterEach, describe, expect, it, vi } from 'vitest';
import { cachedSource } from '../../src/io/cache/cached-source.js';
import { noFacts } from '../../src/io/frame-facts.js';
import type { FrameSource } from '../../src/pipeline/frame-source.js';
import type { FrameMeasure, MeasurePlan } from '../../src/sharpness/measure-plan.js';
import { planMeasurement } from '../../src/sharpness/plan-measurement.js';
import { tempFolder } from './io-helpers/temp-folder.js';

const code = vi.hoisted(() => ({ hash: 'one' }));
vi.mock('../../src/io/cache/measuring-code.js', () => ({ measuringCode: async () => code.hash }));

const root = tempFolder(), at = (...names: string[]): string => path.join(root, ...names);
const plan = { ...planMeasurement(24, 32, 0.42), bin: 1 };
const measure: FrameMeasure = {
  rows: 24, columns: 32, cellRows: 3, cellColumns: 4, energy: [new Uint16Array(12)], brightness: new Uint16Array(12), clipped: null, meanRoot: 1,
  registration: { rows: 3, columns: 4, pixels: new Int16Array(12) }, spectra: [null],
};
const kept = (cache: string): number => (existsSync(cache) ? readdirSync(cache).filter((name) => name.endsWith('.measure')).length : 0);
/** Long after the files below were written, for who asks the clock. */
const LATER_MS = 10_000;

interface Run { stack: string; cache: string; laterMs?: number; by?: MeasurePlan; /** Happens while the frame is read. */ meanwhile?: () => void }

/** Asks for the measure of a stack's one frame. @returns whether it was measured, and not known from before */
async function measuredAnew({ stack, cache, laterMs = LATER_MS, by = plan, meanwhile }: Run): Promise<boolean> {
  mkdirSync(stack, { recursive: true });
  if (!existsSync(path.join(stack, 'f.jpg'))) writeFileSync(path.join(stack, 'f.jpg'), 'picture');
  vi.stubEnv('RUNGWISE_CACHE', cache);
  const now = Date.now();
  vi.spyOn(Date, 'now').mockReturnValue(now + laterMs);
  let anew = false;
  const source: FrameSource = {
    folder: stack, frames: [{ file: 'f.jpg', rows: 24, columns: 32, facts: noFacts, problem: null }],
    measure: async (_, __, onMeasured) => { anew = true; meanwhile?.(); onMeasured(0, measure); return { decodeMs: 1 }; },
  };
  const answers: FrameMeasure[] = [];
  await cachedSource(source).measure([0], by, (_, answer) => answers.push(answer), () => expect.unreachable());
  vi.restoreAllMocks();
  expect(answers).toEqual([measure]);
  return anew;
}

describe('cachedSource', () => {
  afterEach(() => { vi.unstubAllEnvs(); code.hash = 'one'; });

  it('measures a frame once, but for another plan or by other code once more', async () => {
    const one = { stack: at('s1'), cache: at('c1') };
    expect([await measuredAnew(one), await measuredAnew(one)]).toEqual([true, false]);
    expect([await measuredAnew({ ...one, by: { ...plan, cutoff: 0.4 } }), await measuredAnew(one)]).toEqual([true, false]);
    code.hash = 'two';
    expect([await measuredAnew(one), await measuredAnew(one)]).toEqual([true, false]);
  });
  it('keeps nothing of a file that changed a moment ago: it could change again and look the same', async () => {
    expect(await measuredAnew({ stack: at('s2'), cache: at('c2'), laterMs: 0 })).toBe(true);
    expect(kept(at('c2'))).toBe(0);
  });
  it('keeps nothing of a file that changes while it is read: which of the two was measured nobody knows', async () => {
    await measuredAnew({ stack: at('s3'), cache: at('c3'), meanwhile: () => writeFileSync(at('s3', 'f.jpg'), 'another') });
    expect(kept(at('c3'))).toBe(0);
  });
  it.runIf(process.platform !== 'win32')('keeps nothing in the stack’s own folder, by whatever way that is named', async () => {
    mkdirSync(at('s4'));
    symlinkSync(at('s4'), at('way-to-s4'));
    for (const cache of [at('s4'), at('s4', 'deep', 'cache'), at('way-to-s4', 'cache')]) for (const stack of [at('s4'), at('way-to-s4')]) {
      expect(await measuredAnew({ stack, cache }), `${stack} ${cache}`).toBe(true);
    }
    expect(readdirSync(at('s4'))).toEqual(['f.jpg']);
    // Beside it, where the name begins alike, is another place.
    await measuredAnew({ stack: at('s4'), cache: at('s4-cache') });
    expect(kept(at('s4-cache'))).toBe(1);
  });
});
