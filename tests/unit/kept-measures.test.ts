import { writeFile } from 'node:fs/promises';
import path from 'node:path';
import { describe, expect, it, vi } from 'vitest';
import { KeptMeasures } from '../../src/io/watch/kept-measures.js';
import type { FrameSource, SourceFrame } from '../../src/pipeline/frame-source.js';
import type { FrameMeasure } from '../../src/sharpness/measure-plan.js';
import { planMeasurement } from '../../src/sharpness/plan-measurement.js';
import { noFacts } from '../../src/io/frame-facts.js';
import { tempFolder } from './io-helpers/temp-folder.js';

const folder = tempFolder(), plan = planMeasurement(100, 150, 0.3);
const measure = (value: number): FrameMeasure => ({
  rows: 50, columns: 75, cellRows: 2, cellColumns: 3, energy: [Uint16Array.of(value)], brightness: Uint16Array.of(value), clipped: null, meanRoot: value, spectra: [null],
  registration: { rows: 1, columns: 1, pixels: Int16Array.of(value) },
});
/** Reads frame i as the value i. */
function source(files: string[]) {
  const read = vi.fn((indices: readonly number[], _plan: unknown, onMeasured: (index: number, given: FrameMeasure) => void) => {
    for (const i of indices) onMeasured(i, measure(Number(files[i]![0])));
    return Promise.resolve({ decodeMs: 1 });
  });
  const frames = files.map((file): SourceFrame => ({ file, rows: 100, columns: 150, facts: noFacts, problem: null }));
  return { read, source: { folder, frames, measure: read } as FrameSource };
}
async function measured(kept: KeptMeasures, from: FrameSource, files?: ReadonlySet<string>): Promise<Map<string, FrameMeasure>> {
  const found = new Map<string, FrameMeasure>(), some = await kept.over(from, files);
  await some.measure(some.frames.map((_, i) => i), plan, (i, one) => found.set(some.frames[i]!.file, one), () => undefined);
  return found;
}

describe('KeptMeasures', () => {
  it('reads each frame once, and gives the very same measure again', async () => {
    for (const file of ['1.jpg', '2.jpg', '3.jpg']) await writeFile(path.join(folder, file), file);
    const kept = new KeptMeasures(), two = source(['1.jpg', '2.jpg']), three = source(['1.jpg', '2.jpg', '3.jpg']);
    const first = await measured(kept, two.source), then = await measured(kept, three.source, new Set(['2.jpg', '3.jpg']));
    expect([...first.values()].map((one) => one.meanRoot)).toEqual([1, 2]);
    expect(three.read.mock.calls.map(([indices]) => indices)).toEqual([[2]]);
    expect(then.get('2.jpg')).toBe(first.get('2.jpg'));
    expect(then.get('3.jpg')).toEqual(measure(3));
  });
  it('reads a frame again whose file was written anew', async () => {
    await writeFile(path.join(folder, '1.jpg'), 'one');
    const kept = new KeptMeasures(), { read, source: one } = source(['1.jpg']);
    await measured(kept, one);
    await writeFile(path.join(folder, '1.jpg'), 'another');
    await measured(kept, one);
    expect(read).toHaveBeenCalledTimes(2);
  });
  it('hands on what it has without a copy of the large arrays', async () => {
    await writeFile(path.join(folder, '1.jpg'), 'one');
    const kept = new KeptMeasures(), { read, source: one } = source(['1.jpg']), here = (await measured(kept, one)).get('1.jpg')!;
    const there = (await measured(new KeptMeasures(structuredClone(kept.entries())), one)).get('1.jpg')!;
    expect(there).toEqual(here);
    expect(read).toHaveBeenCalledOnce();
    here.brightness[0] = 77;
    expect(there.brightness[0]).toBe(77);
  });
});
