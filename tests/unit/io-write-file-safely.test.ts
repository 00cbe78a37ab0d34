import { mkdirSync, readFileSync, readdirSync, statSync, symlinkSync, writeFileSync } from 'node:fs';
import { open, type FileHandle } from 'node:fs/promises';
import path from 'node:path';
import { describe, expect, it, vi } from 'vitest';
import { UserError } from '../../src/contract/errors.js';
import { writeFileSafely } from '../../src/io/write-file-safely.js';
import { tempFolder } from './io-helpers/temp-folder.js';

const root = tempFolder();
const source = path.join(root, 'stack');
mkdirSync(source);

describe('writeFileSafely', () => {
  it('writes a new file and replaces an old one, leaving nothing beside it', async () => {
    const folder = path.join(root, 'out');
    mkdirSync(folder);
    for (const text of ['first', 'second']) {
      await writeFileSafely(path.join(folder, 'report.json'), text, source);
      expect(readFileSync(path.join(folder, 'report.json'), 'utf8')).toBe(text);
    }
    expect(readdirSync(folder)).toEqual(['report.json']);
  });
  it('has it on the disk before the old file goes: a power cut leaves the one or the other', async () => {
    const file = path.join(root, 'power.json'), seen: string[] = [];
    writeFileSync(file, 'old');
    const handle = await open(file), prototype = Object.getPrototypeOf(handle) as FileHandle;
    await handle.close();
    const sync = vi.spyOn(prototype, 'sync').mockImplementation(async () => { seen.push(readFileSync(file, 'utf8')); });
    await writeFileSafely(file, 'new', null);
    sync.mockRestore();
    expect([...seen, readFileSync(file, 'utf8')]).toEqual(['old', 'new']);
  });
  it('never writes into the stack’s folder, by whatever way', async () => {
    symlinkSync(source, path.join(root, 'way-in'));
    writeFileSync(path.join(source, 'old.json'), 'old');
    symlinkSync(path.join(source, 'old.json'), path.join(root, 'link.json'));
    for (const file of [path.join(source, 'a.json'), path.join(root, 'way-in', 'a.json'), path.join(source, '..', 'stack', 'a.json'), path.join(root, 'link.json')]) {
      await expect(writeFileSafely(file, 'x', source), file).rejects.toThrow(UserError);
    }
    expect(readdirSync(source)).toEqual(['old.json']);
    expect(readFileSync(path.join(source, 'old.json'), 'utf8')).toBe('old');
  });
  it('writes beside the stack, even where the name begins alike', async () => {
    await writeFileSafely(path.join(root, 'stack.json'), 'x', source);
    expect(readFileSync(path.join(root, 'stack.json'), 'utf8')).toBe('x');
  });
  it.each([['a missing folder', path.join('absent', 'r.json'), /no folder.*Make the folder/], ['a folder', 'stack', /is a folder/]])('refuses %s', async (_, name, words) => {
    const failure: unknown = await writeFileSafely(path.join(root, name), 'x', null).catch((error: unknown) => error);
    expect((failure as UserError).line).toMatch(words);
  });
  it.runIf(process.platform === 'linux')('leaves a device a device', async () => {
    await writeFileSafely('/dev/null', 'x', source);
    expect(statSync('/dev/null').isCharacterDevice()).toBe(true);
  });
  it.runIf(process.platform === 'linux')('says that the disk is full', async () => {
    const failure: unknown = await writeFileSafely('/dev/full', 'x', null).catch((error: unknown) => error);
    expect((failure as UserError).line).toMatch(/disk is full/);
  });
});
