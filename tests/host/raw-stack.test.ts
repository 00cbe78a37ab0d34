import { copyFileSync, mkdirSync, readFileSync, readdirSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import type { Report } from '../../src/contract/report.js';
import { rawFile } from '../unit/io-helpers/raw-files.js';
import { tempFolder } from '../unit/io-helpers/temp-folder.js';
import { runCli } from './cli-process.js';

const root = tempFolder(), sample = path.resolve('sample-frames/quartz-druse');
const rig = ['--magnification', '5', '--aperture', '2.8', '--pixel-pitch', '3.9'];
const check = async (folder: string): Promise<{ report: Report; status: number }> => {
  const { stdout, stderr, status } = await runCli(['check', folder, ...rig, '--json', '-']);
  expect(stderr).toBe('');
  return { report: JSON.parse(stdout) as Report, status };
};

describe('the sample stack inside raw files, some with the JPEG beside them', () => {
  let jpeg: Awaited<ReturnType<typeof check>>, raw: Awaited<ReturnType<typeof check>>;
  const files = readdirSync(sample).filter((name) => name.endsWith('.jpg')).sort();
  beforeAll(async () => {
    const folder = path.join(root, 'raw');
    mkdirSync(folder);
    for (const [i, name] of files.entries()) {
      writeFileSync(path.join(folder, name.replace('.jpg', '.NEF')), rawFile('nef', { full: readFileSync(path.join(sample, name)), thumbnail: Buffer.alloc(0), orientation: 1, columns: 1500, rows: 1000 }));
      if (i < 2) copyFileSync(path.join(sample, name), path.join(folder, name.replace('.jpg', '.JPG')));
      writeFileSync(path.join(folder, name.replace('.jpg', '.xmp')), '<x/>');
    }
    jpeg = await check(sample);
    raw = await check(folder);
  });
  it('comes to the same answer', () => {
    expect(raw.status).toBe(jpeg.status);
    expect(raw.report.verdict).toEqual(jpeg.report.verdict);
    expect(raw.report.stack.order).toEqual(jpeg.report.stack.order);
    raw.report.stack.frames.forEach((frame, i) => {
      // The same pixels; only the decoder's way to them may differ.
      expect(Math.abs((frame.positionDof ?? 0) - (jpeg.report.stack.frames[i].positionDof ?? 99))).toBeLessThan(0.02);
    });
  });
  it('says what it judged, and counts no frame twice', () => {
    expect(raw.report.stack.frames.map((frame) => frame.file)).toEqual(files.map((name, i) => name.replace('.jpg', i < 2 ? '.JPG' : '.NEF')));
    expect(raw.report.findings.map((finding) => finding.kind)).toEqual(expect.arrayContaining(['raw-preview', 'counted-once']));
    expect(jpeg.report.findings.map((finding) => finding.kind)).not.toContain('raw-preview');
  });
});
