import { execFileSync } from 'node:child_process';
import { writeFileSync } from 'node:fs';
import path from 'node:path';
import { pathToFileURL } from 'node:url';
import { beforeAll, describe, expect, it } from 'vitest';
import { tempFolder } from '../unit/io-helpers/temp-folder.js';

const root = tempFolder();
interface Seen { answers: { ok: boolean; error?: { message: string } }[]; calls: [string, ...unknown[]][]; prevented: number; asked: boolean[]; checked: boolean[]; opened: unknown; cancelled: Record<string, boolean> }

/** Runs the built main program with a stand-in for Electron's module. */
function runMain(words: string[] = [], env: Record<string, string> = {}): Seen {
  const stub = pathToFileURL(path.resolve('tests/host/electron-main-stub.mjs')).href, hook = path.join(root, 'hook.mjs');
  const hooks = `export async function resolve(name, context, next) { return name === 'electron' ? { url: ${JSON.stringify(stub)}, shortCircuit: true } : next(name, context); }`;
  writeFileSync(hook, `import { register } from 'node:module';\nregister('data:text/javascript,' + encodeURIComponent(${JSON.stringify(hooks)}));\n`);
  return JSON.parse(execFileSync(process.execPath, ['--import', pathToFileURL(hook).href, 'dist/electron/main.js', ...words], { encoding: 'utf8', env: { ...process.env, ...env } })) as Seen;
}

/** Electron's security checklist; every switch loosened makes one of these fail. */
describe('the desktop program', () => {
  let seen: Seen;
  beforeAll(() => { seen = runMain(); });
  const called = (name: string): unknown[] | undefined => seen.calls.find(([one]) => one === name)?.slice(1);

  it('puts every page into the sandbox before anything is shown', () => {
    const names = seen.calls.map(([name]) => name);
    expect(names.indexOf('enableSandbox')).toBeGreaterThanOrEqual(0);
    expect(names.indexOf('enableSandbox')).toBeLessThan(names.indexOf('whenReady'));
    expect(names.indexOf('whenReady')).toBeLessThan(names.indexOf('window'));
  });
  it('gives the window no Node, a world of its own, no views in it, and only our preload', () => {
    const { preload, ...switches } = called('window')?.[0] as Record<string, unknown>;
    expect(switches).toEqual({
      contextIsolation: true, sandbox: true, nodeIntegration: false, nodeIntegrationInWorker: false, nodeIntegrationInSubFrames: false,
      webSecurity: true, allowRunningInsecureContent: false, webviewTag: false, spellcheck: false,
    });
    expect(String(preload)).toMatch(/dist[\\/]electron[\\/]preload\.cjs$/);
  });
  it('loads the window from its own scheme, which may do no more than it needs', () => {
    expect(called('loadURL')).toEqual([expect.stringMatching(/^rungwise:\/\//)]);
    expect(called('schemes')).toEqual([[{ scheme: 'rungwise', privileges: { standard: true, secure: true, supportFetchAPI: true } }]]);
  });
  it('opens no second window, goes to no other page, grants nothing', () => {
    expect(seen.opened).toEqual({ action: 'deny' });
    expect(seen.prevented).toBe(4);
    expect(new Set([...seen.asked, ...seen.checked])).toEqual(new Set([false]));
  });
  it('asks nothing of any network or of files', () => {
    const passed = Object.entries(seen.cancelled).filter(([, cancelled]) => cancelled === false).map(([url]) => url.split('/')[0]);
    expect(passed).toEqual(['rungwise:', 'blob:rungwise:']);
    expect(Object.values(seen.cancelled)).not.toContain(undefined);
  });
  it('answers nothing that is not declared, or not well formed', () => {
    expect(seen.answers.map(({ ok, error }) => [ok, error?.message])).toEqual([[false, expect.stringContaining('this version does not know')], [false, expect.stringContaining('out of range')]]);
  });
  it('says what is wrong with a report it is started with, and starts all the same', () => {
    const report = path.join(root, 'x.rungwise');
    writeFileSync(report, '{}');
    // Named behind the program's own name; on macOS told once the program runs.
    for (const { calls } of [runMain([report]), runMain([], { HANDED_OVER: report })]) {
      expect(calls.find(([name]) => name === 'errorBox')?.[1]).toMatch(/x\.rungwise is no report of Rungwise/);
      expect(calls.map(([name]) => name)).toContain('window');
    }
  });
});
