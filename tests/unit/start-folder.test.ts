import { writeFileSync } from 'node:fs';
import path from 'node:path';
import { describe, expect, it } from 'vitest';
import { startFolder } from '../../electron/start-folder.js';
import { tempFolder } from './io-helpers/temp-folder.js';

const root = tempFolder(), lines: string[] = [];
const start = (named: string | null): Promise<string | null> => startFolder(named, (line) => lines.push(line));
const report = (name: string, content: string): string => { const file = path.join(root, name); writeFileSync(file, content); return file; };

describe('startFolder', () => {
  it('takes a folder as it is', async () => {
    expect(await start(null)).toBeNull();
    expect(await start(root)).toBe(root);
  });
  it('opens the stack of a saved report', async () => {
    expect(await start(report('A.RUNGWISE', JSON.stringify({ schema: 'rungwise.report/1', stack: { folder: root } })))).toBe(root);
    expect(lines).toEqual([]);
  });
  it.each([
    ['no JSON', 'x.rungwise', '{'],
    ['another schema', 'y.rungwise', JSON.stringify({ schema: 'other/1', stack: { folder: root } })],
    ['no folder', 'z.rungwise', JSON.stringify({ schema: 'rungwise.report/1' })],
    ['a folder relative to nowhere', 'r.rungwise', JSON.stringify({ schema: 'rungwise.report/1', stack: { folder: '../up' } })],
    ['null', 'n.rungwise', 'null'],
  ])('says in one line what is wrong with %s', async (_, name, content) => {
    lines.length = 0;
    expect(await start(report(name, content))).toBeNull();
    expect(lines).toHaveLength(1);
    expect(lines[0]).toMatch(new RegExp(`^${name.replace('.', '\\.')} .*Open the folder`));
  });
  it('says so where there is none', async () => {
    lines.length = 0;
    expect(await start(path.join(root, 'absent.rungwise'))).toBeNull();
    expect(lines[0]).toContain('ENOENT');
  });
});
