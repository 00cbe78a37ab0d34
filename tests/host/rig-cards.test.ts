import { copyFile, mkdir, mkdtemp, readFile, readdir, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { setTimeout as wait } from 'node:timers/promises';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import sharp from 'sharp';
import * as z from 'zod/mini';
import { UserError } from '../../src/contract/errors.js';
import { findRigCard } from '../../src/io/find-rig-card.js';
import { RigCardFolder } from '../../src/io/rig-card-store.js';
import { cardForCamera } from '../../src/optics/card-for-camera.js';
import { rigCardSchema } from '../../src/io/rig-card.js';
import type { Report } from '../../src/contract/report.js';
import { noisePicture } from '../unit/io-helpers/picture.js';
import { runCli } from './cli-process.js';

let settings: string;
let cards: RigCardFolder;
const bench = { name: 'Bench, 5×', cameraModel: 'Bench camera', values: { magnification: 5, fNumber: 2.8, railUnitUm: 10 } };

beforeEach(async () => {
  settings = await mkdtemp(path.join(tmpdir(), 'rungwise-cards-'));
  process.env['RUNGWISE_SETTINGS'] = settings;
  cards = new RigCardFolder(path.join(settings, 'rig-cards'));
});
afterEach(async () => { delete process.env['RUNGWISE_SETTINGS']; await rm(settings, { recursive: true, force: true }); });

describe('saved rig cards', () => {
  it('start empty, keep what is saved, and replace by name', async () => {
    expect(await cards.list()).toEqual([]);
    await cards.save(bench);
    expect(await cards.save({ ...bench, values: { magnification: 4 } })).toEqual([{ ...bench, values: { magnification: 4 } }]);
    expect(await cards.save({ name: 'Field', values: { magnification: 2 } })).toHaveLength(2);
    expect(await readdir(path.join(settings, 'rig-cards'))).toEqual(['bench-5x.rig.json', 'field.rig.json']);
  });

  it('never lets one card overwrite another whose name looks alike to a disk', async () => {
    await cards.save({ name: 'Bench 5x', values: { magnification: 5 } });
    await cards.save({ name: 'bench/5X', values: { magnification: 4 } });
    await cards.save({ name: '../../escape', values: { magnification: 3 } });
    await cards.save({ name: '晶', values: { magnification: 2 } });
    expect((await cards.list()).map(({ values }) => values.magnification).sort()).toEqual([2, 3, 4, 5]);
    expect((await readdir(settings))).toEqual(['rig-cards']);
  });

  // Microsoft's "Naming Files, Paths, and Namespaces": these stand for devices, with any ending and in any case.
  it.each(['CON', 'prn', 'Aux', 'NUL', 'com1', 'LPT9'])('called %s has a file that Windows takes for one', async (name) => {
    await cards.save({ name, values: { magnification: 5 } });
    const [file] = await readdir(path.join(settings, 'rig-cards'));
    expect(file.split('.')[0]).not.toMatch(/^(con|prn|aux|nul|com[0-9]|lpt[0-9])$/i);
    expect((await cards.named(name))?.magnification).toBe(5);
  });

  it('leaves broken cards and those of a later version alone, and says why', async () => {
    const folder = path.join(settings, 'rig-cards');
    await mkdir(folder);
    await writeFile(path.join(folder, 'broken.rig.json'), '{"schema":');
    await writeFile(path.join(folder, 'later.rig.json'), '{"schema":"rungwise.rig/9","name":"Bench, 5×"}');
    await cards.save(bench);
    const { cards: good, problems } = await cards.read();
    expect(good).toEqual([bench]);
    expect(problems.join(' ')).toMatch(/broken\.rig\.json is damaged.*later\.rig\.json was saved by a later version/);
    expect(await readFile(path.join(folder, 'later.rig.json'), 'utf8')).toMatch(/rig\/9/);
  });

  it('are renamed in their file, and never over another card', async () => {
    await cards.save(bench);
    await cards.save({ name: 'Field', values: { magnification: 2 } });
    await expect(cards.rename('Bench, 5×', 'FIELD')).rejects.toMatchObject({ message: 'There is a rig card called Field already.' });
    await expect(cards.rename('garden', 'x')).rejects.toMatchObject({ message: 'There is no rig card called garden.' });
    await expect(cards.rename('Field', '')).rejects.toBeInstanceOf(UserError);
    // Only the letters' case changes: that is the same card.
    expect(await cards.rename('bench, 5×', 'BENCH, 5×')).toContainEqual({ ...bench, name: 'BENCH, 5×' });
    expect(await cards.rename('BENCH, 5×', 'Shed "2" 晶')).toEqual([{ name: 'Field', values: { magnification: 2 } }, { ...bench, name: 'Shed "2" 晶' }]);
    expect((await readdir(path.join(settings, 'rig-cards'))).sort()).toEqual(['bench-5x.rig.json', 'field.rig.json']);
  });

  it('refuses values out of range before writing anything', async () => {
    await expect(cards.save({ name: 'x', values: { fNumber: -1 } })).rejects.toBeInstanceOf(UserError);
    for (const name of ['', '   ']) await expect(cards.save({ name, values: { fNumber: 4 } })).rejects.toThrow(/needs a name/);
    await expect(cards.save({ name: 'x', cameraModel: 'Bench camera', values: {} })).rejects.toThrow(/nothing to save/);
    expect(await readdir(settings)).toEqual([]);
  });

  it('are picked by camera only where one fits', () => {
    const other = { ...bench, name: 'Field' };
    expect(cardForCamera([bench], 'bench camera ')).toBe(bench);
    expect(cardForCamera([bench, other], 'Bench camera')).toBeNull();
    expect(cardForCamera([bench], null)).toBeNull();
    expect(cardForCamera([{ name: 'a', values: {} }], 'Bench camera')).toBeNull();
  });

  it('are found by name or by file', async () => {
    await cards.save(bench);
    expect((await findRigCard('bench, 5×')).railUnitUm).toBe(10);
    expect((await findRigCard(path.join(settings, 'rig-cards', 'bench-5x.rig.json'))).magnification).toBe(5);
    await expect(findRigCard('garden')).rejects.toMatchObject({ remedy: 'Saved are: Bench, 5×.' });
  });

  it('serve the command line by name', async () => {
    await cards.save({ ...bench, values: { ...bench.values, pixelPitchUm: 3.9 } });
    const { status, stdout } = await runCli(['plan', '--rig', 'Bench, 5×', '--depth-um', '900', '--json', '-']);
    expect(status).toBe(0);
    // 24.84 µm × 1.0108 × 0.7 over 10 µm (rig table of the project's optics page).
    expect((JSON.parse(stdout) as { railUnits: number }).railUnits).toBeCloseTo(1.758, 2);
  });
});

it('the published schema is the one that is checked', async () => {
  const published: unknown = JSON.parse(await readFile(path.resolve(import.meta.dirname, '../../docs/rig-card.schema.json'), 'utf8'));
  expect(published).toEqual({ ...z.toJSONSchema(rigCardSchema), title: 'Rig card of rungwise', description: expect.any(String) });
});

describe('rungwise rig', () => {
  const rig = (...words: string[]) => runCli(['rig', ...words]);
  it('saves, changes one value, shows what is assumed, lists, and deletes', async () => {
    expect((await rig()).stdout).toMatch(/No set-up is saved yet/);
    expect((await rig('save', 'Bench, 5x', '--magnification', '5', '--aperture', '2.8', '--rail-unit', '10')).status).toBe(0);
    await rig('save', 'Bench, 5x', '--rig', 'Bench, 5x', '--aperture', '4', '--camera', 'Bench camera');
    expect(await cards.list()).toEqual([{ name: 'Bench, 5x', cameraModel: 'Bench camera', values: { magnification: 5, fNumber: 4, railUnitUm: 10 } }]);
    expect((await rig('show', 'bench, 5X')).stdout).toMatch(/f\/4[\s\S]*pupil ratio +\(assumed to be 1\)[\s\S]*rail unit +10 µm[\s\S]*Bench camera/);
    expect((await rig('list')).stdout).toMatch(/^Bench, 5x\n/);
    expect((await rig('delete', 'bench, 5x')).stdout).toMatch(/Deleted the rig card "Bench, 5x"/);
    expect(await cards.list()).toEqual([]);
  });
  it('says what is wrong in one line and leaves everything as it was', async () => {
    await cards.save(bench);
    await writeFile(path.join(settings, 'rig-cards', 'later.rig.json'), '{"schema":"rungwise.rig/9","name":"Later"}');
    for (const [words, line] of [[['delete', 'garden'], /no rig card called garden.*rig list/], [['delete', 'Later'], /no rig card called Later/], [['save', 'x'], /nothing to save/], [['save', '', '--aperture', '4'], /needs a name.*such as/], [['save', '  ', '--aperture', '4'], /needs a name/], [['show', path.join(settings, 'rig-cards', 'later.rig.json')], /later version/]] as const) {
      const { status, stdout, stderr } = await rig(...words);
      expect([status, stdout]).toEqual([3, '']);
      expect(stderr).toMatch(line);
      expect(stderr.trimEnd().split('\n')).toHaveLength(1);
    }
    expect((await rig('list')).stdout).toMatch(/Bench, 5×[\s\S]*! .*later version/);
    expect((await readdir(path.join(settings, 'rig-cards'))).sort()).toEqual(['bench-5x.rig.json', 'later.rig.json']);
  });
});

describe('a card picked by the camera', () => {
  let shots: string;
  beforeEach(async () => {
    shots = path.join(settings, 'shots');
    await mkdir(shots);
    for (let i = 0; i < 3; i++) {
      await sharp(await noisePicture(300, 200, i + 1).jpeg().toBuffer()).withExif({ IFD0: { Model: 'Bench camera' } }).jpeg().toFile(path.join(shots, `b${i}.jpg`));
    }
  });
  const check = async (...more: string[]) => {
    const { stdout } = await runCli(['check', shots, '--json', '-', ...more]);
    return JSON.parse(stdout) as Report;
  };
  it('is used where it is the only one, under options, and named in report, text and page', async () => {
    await cards.save(bench);
    const report = await check('--aperture', '4');
    expect(report.rigCard).toEqual({ name: 'Bench, 5×', pickedFor: 'Bench camera' });
    expect([report.optics.magnification, report.optics.fNumber]).toEqual([{ value: 5, source: 'rig-card' }, { value: 4, source: 'option' }]);
    const { stdout } = await runCli(['check', shots, '--report', path.join(settings, 'r.html')]);
    const words = /Rig card: Bench, 5×\. It was picked because it is the only one saved for this camera \(Bench camera\)/;
    expect(stdout.replace(/\s+/g, ' ')).toMatch(words);
    expect(await readFile(path.join(settings, 'r.html'), 'utf8')).toMatch(words);
  });
  it('is not used against anybody’s will, nor where two fit', async () => {
    await cards.save(bench);
    expect((await check('--no-rig')).optics.magnification).toEqual({ value: null, source: 'unknown' });
    await cards.save({ ...bench, name: 'Field', values: { magnification: 2 } });
    const report = await check();
    expect([report.optics.magnification.value, report.rigCard]).toEqual([null, undefined]);
    expect((await check('--rig', 'Field')).rigCard).toEqual({ name: 'Field', pickedFor: null });
  });
  it('is found by watch too, whose folder is empty when it starts', async () => {
    await cards.save(bench);
    const [incoming, out] = [path.join(settings, 'incoming'), path.join(settings, 'watched.json')];
    await mkdir(incoming);
    const watching = runCli(['watch', incoming, '--frames', '3', '--json', out, '--quiet']);
    await wait(2000);
    for (const file of ['b0.jpg', 'b1.jpg', 'b2.jpg']) await copyFile(path.join(shots, file), path.join(incoming, file));
    expect((await watching).stderr).toBe('');
    const report = JSON.parse(await readFile(out, 'utf8')) as Report;
    expect(report.rigCard).toEqual({ name: 'Bench, 5×', pickedFor: 'Bench camera' });
    expect(report.optics.magnification).toEqual({ value: 5, source: 'rig-card' });
  });
  it('is saved for the camera of a stack', async () => {
    await runCli(['rig', 'save', 'Bench', '--magnification', '5', '--camera-of', shots]);
    expect((await cards.list())[0]?.cameraModel).toBe('Bench camera');
  });
});
