import { execFileSync } from 'node:child_process';
import { mkdirSync, symlinkSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import { UserError } from '../../src/contract/errors.js';
import { openFolder } from '../../src/io/open-folder.js';
import type { FrameSource } from '../../src/pipeline/frame-source.js';
import { noisePicture } from './io-helpers/picture.js';
import { tiff16 } from './io-helpers/tiff16.js';
import { tempFolder } from './io-helpers/temp-folder.js';

const root = tempFolder();
const make = (name: string): string => { const folder = path.join(root, name); mkdirSync(folder); return folder; };

describe('openFolder on a folder of all sorts', () => {
  let source: FrameSource;
  const frame = (file: string): FrameSource['frames'][number] | undefined => source.frames.find((one) => one.file === file);
  beforeAll(async () => {
    const folder = make('sorts');
    const file = (name: string): string => path.join(folder, name);
    const exif = { IFD0: { Model: 'Bench camera' }, IFD2: { FNumber: '28/10', DateTimeOriginal: '2026:11:20 10:11:12' } };
    await noisePicture(40, 30).jpeg().withExif(exif).toFile(file('f1.jpg'));
    await noisePicture(40, 30).webp().withExif(exif).toFile(file('f2.webp'));
    const samples = Uint16Array.from({ length: 40 * 30 * 3 }, (_, i) => (i * 7919) % 65536);
    writeFileSync(file('f3.TIFF'), tiff16(40, 30, samples, { model: 'Bench camera', fNumber: [28, 10], taken: '2026:11:20 10:11:12' }));
    await noisePicture(40, 30).png().withExif(exif).toFile(file('f4.png'));
    await noisePicture(30, 40).jpeg().withMetadata({ orientation: 6 }).toFile(file('f5.jpg'));
    writeFileSync(file('text.jpg'), 'not a picture');
    writeFileSync(file('zero.jpg'), '');
    writeFileSync(file('drawing.jpg'), '<svg xmlns="http://www.w3.org/2000/svg" width="40" height="30"/>');
    await noisePicture(40, 30).toColourspace('scrgb').tiff({ compression: 'none' }).toFile(file('float.tif'));
    symlinkSync('loop.jpg', file('loop.jpg'));
    symlinkSync('nowhere.jpg', file('dangling.jpg'));
    symlinkSync('f1.jpg', file('f9.jpg'));
    symlinkSync('.', file('inside'));
    mkdirSync(file('folder.jpg'));
    if (process.platform !== 'win32') execFileSync('mkfifo', [file('pipe.jpg')]);
    for (const name of ['._f1.jpg', '.hidden.jpg', 'f1.xmp', 'Thumbs.db', 'notes.txt']) writeFileSync(file(name), 'x');
    source = await openFolder(folder);
  });

  it('lists frames only, in file order', () => {
    expect(source.frames.filter((one) => one.problem === null).map((one) => one.file)).toEqual(['f1.jpg', 'f2.webp', 'f3.TIFF', 'f4.png', 'f5.jpg', 'f9.jpg']);
  });
  it('keeps every frame it can’t read in the list, with the reason', () => {
    const problems = Object.fromEntries(source.frames.filter((one) => one.problem !== null).map((one) => [one.file, one.problem]));
    expect(Object.keys(problems).sort()).toEqual(['dangling.jpg', 'drawing.jpg', 'float.tif', 'loop.jpg', ...(process.platform === 'win32' ? [] : ['pipe.jpg']), 'text.jpg', 'zero.jpg']);
    expect(problems['zero.jpg']).toContain('empty');
    expect(problems['text.jpg']).toContain('not a picture');
    expect(problems['loop.jpg']).toBe('it is a link that leads back to itself');
    expect(problems['dangling.jpg']).toMatch(/link to nothing/);
    if (process.platform !== 'win32') expect(problems['pipe.jpg']).toBe('it is not an ordinary file');
    expect(problems['drawing.jpg']).toContain('svg');
    expect(problems['float.tif']).toContain('neither 8 nor 16 bits');
  });
  it('gives sizes as shown, after orientation', () => {
    expect(frame('f1.jpg')).toMatchObject({ rows: 30, columns: 40 });
    expect(frame('f5.jpg')).toMatchObject({ rows: 30, columns: 40 });
  });
  it.each(['f1.jpg', 'f2.webp', 'f3.TIFF', 'f4.png'])('reads the camera’s facts from %s', (file) => {
    expect(frame(file)?.facts).toMatchObject({ cameraModel: 'Bench camera', fNumber: 2.8, captureTimeMs: Date.UTC(2026, 10, 20, 10, 11, 12) });
  });
});

describe('openFolder refuses, with what to do', () => {
  it.each([
    ['a missing folder', () => path.join(root, 'absent'), /no folder.*Check the name/],
    ['an empty folder', () => make('empty'), /is empty.*Name the folder/],
    ['a file', () => { const file = path.join(root, 'one.jpg'); writeFileSync(file, 'x'); return file; }, /is a file, not a folder/],
    ['a folder of folders', () => { mkdirSync(path.join(make('outer'), 'stack-1')); return path.join(root, 'outer'); }, /no pictures.*stack-1/],
    ['raw files only', () => { const folder = make('raw'); writeFileSync(path.join(folder, 'A1.NEF'), 'x'); return folder; }, /A1\.NEF: it holds no JPEG .*develop it.*export them all alike/],
    ['no readable frame', () => { const folder = make('broken'); writeFileSync(path.join(folder, 'a.jpg'), 'x'); return folder; }, /No frame .*a\.jpg.*Copy the frames/],
  ])('%s', async (_, prepare, words) => {
    const failure: unknown = await openFolder(prepare()).then(() => null, (error: unknown) => error);
    expect(failure).toBeInstanceOf(UserError);
    expect((failure as UserError).line).toMatch(words);
  });
});
