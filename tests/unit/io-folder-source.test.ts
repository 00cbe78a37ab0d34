import path from 'node:path';
import { describe, expect, it } from 'vitest';
import { countOnce } from '../../src/io/count-once.js';
import { FolderSource } from '../../src/io/folder-source.js';
import { noFacts } from '../../src/io/frame-facts.js';
import { poolSize } from '../../src/io/pool-size.js';
import type { SourceFrame } from '../../src/pipeline/frame-source.js';
import { planMeasurement } from '../../src/sharpness/plan-measurement.js';

const frame = (file: string, problem: string | null = null): SourceFrame => ({ file, rows: 48, columns: 64, facts: noFacts, problem });

describe('FolderSource', () => {
  it('names the frame its worker died of and measures all others', async () => {
    const files = ['a.jpg', 'dies1.jpg', 'b.jpg', 'c.jpg', 'dies2.jpg', 'd.jpg'];
    const source = new FolderSource('/nowhere', files.map((file) => frame(file)), path.resolve('tests/unit/io-helpers/dying-worker.mjs'));
    const measured: string[] = [], named = new Map<string, string>();
    await source.measure([0, 1, 2, 3, 4, 5], planMeasurement(48, 64, 0.42), (i) => measured.push(files[i]), (i, reason) => named.set(files[i], reason));
    expect(measured.sort()).toEqual(['a.jpg', 'b.jpg', 'c.jpg', 'd.jpg']);
    expect([...named.keys()].sort()).toEqual(['dies1.jpg', 'dies2.jpg']);
    expect(named.get('dies1.jpg')).toMatch(/failed badly/);
  });
  it('names the frame whose reading came to no end, measures those tried after it, and gives the rest up after the second', async () => {
    const files = ['a.jpg', 'hangs1.jpg', 'b.jpg', 'hangs2.jpg', 'c.jpg'];
    const source = new FolderSource('/nowhere', files.map((file) => ({ ...frame(file), rows: 8_000, columns: 10_000 })), path.resolve('tests/unit/io-helpers/dying-worker.mjs'), 600);
    const named = new Map<string, string>(), plan = planMeasurement(48, 64, 0.42);
    await source.measure([0, 1, 2, 3, 4], plan, () => undefined, (i, reason) => named.set(files[i], reason));
    for (const file of ['hangs1.jpg', 'hangs2.jpg']) expect(named.get(file)).toMatch(/came to no end \(no answer for 1 s\): its drive does not answer/);
    expect(named.get('c.jpg')).toMatch(/not tried.*check the drive/);
  });
});

describe('poolSize', () => {
  // 640 MB for pixels in flight at 8 bytes each: 80 megapixels at a time.
  it.each([[8, 20, 24e6, 3], [2, 20, 24e6, 2], [8, 1, 24e6, 1], [8, 20, 100e6, 1], [8, 20, 1e6, 8], [8, 20, 0, 8]])('%i cores, %i frames of %i pixels: %i at a time', (cores, frames, pixels, expected) => {
    expect(poolSize(cores, frames, pixels)).toBe(expected);
  });
});

describe('countOnce', () => {
  it('pairs names whatever their case, and accents written either way', () => {
    // Unicode 15, annex 15: ä as one letter (NFC) and as two (NFD), which some disks turn it into.
    const counted = countOnce([frame('Gr\u00e4te1.NEF'), frame('GRa\u0308TE1.JPG'), frame('Gr\u00e4te2.nef')]);
    expect(counted.map(({ file, beside }) => [file, beside])).toEqual([['GRa\u0308TE1.JPG', 'Gr\u00e4te1.NEF'], ['Gr\u00e4te2.nef', undefined]]);
  });
  it('leaves pictures of one name apart that are no raw files, and lists all where the pair can’t be told', () => {
    expect(countOnce([frame('a.jpg'), frame('a.tif')])).toHaveLength(2);
    expect(countOnce([frame('a.nef'), frame('a.dng'), frame('a.jpg')])).toHaveLength(3);
  });
});
