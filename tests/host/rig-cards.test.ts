import { mkdir, mkdtemp, readFile, readdir, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { z } from 'zod';
import { UserError } from '../../src/contract/errors.js';
import { findRigCard } from '../../src/io/find-rig-card.js';
import { cardForCamera, RigCardFolder } from '../../src/io/rig-card-store.js';
import { rigCardSchema } from '../../src/io/rig-card.js';
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
    expect(await cards.save({ name: 'Field', values: {} })).toHaveLength(2);
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

  it('refuses values out of range before writing anything', async () => {
    await expect(cards.save({ name: 'x', values: { fNumber: -1 } })).rejects.toBeInstanceOf(UserError);
    await expect(cards.save({ name: '', values: {} })).rejects.toBeInstanceOf(UserError);
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
