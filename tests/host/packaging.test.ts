import { execFileSync } from 'node:child_process';
import { cpSync, existsSync, mkdirSync, readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import path from 'node:path';
import sharp from 'sharp';
import { beforeAll, describe, expect, it } from 'vitest';
import { tempFolder } from '../unit/io-helpers/temp-folder.js';
import { mayShip, shippedParts } from '../../scripts/licences.mjs';

const load = createRequire(import.meta.url);
const root = tempFolder();

interface BuilderConfig {
  files: string[]; asar: boolean; asarUnpack: string[]; publish: null; electronFuses: Record<string, boolean>; directories: { output: string };
  fileAssociations: { ext: string; role: string }[]; win: { target: string[]; icon: string }; mac: { target: string[]; icon: string; hardenedRuntime: boolean }; linux: { target: string[]; icon: string };
}

describe('the desktop package', () => {
  // The builder's own check of its own schema; nothing is fetched for it.
  const { validateConfiguration } = load('app-builder-lib/out/util/config/config') as { validateConfiguration(config: object, log: object): Promise<void> };
  const { DebugLogger } = load('builder-util') as { DebugLogger: new (on: boolean) => object };
  const { $schema: _schema, ...config } = JSON.parse(readFileSync('electron-builder.json', 'utf8')) as BuilderConfig & { $schema: string };
  const valid = (changed: object): Promise<boolean> => validateConfiguration({ ...config, ...changed }, new DebugLogger(false)).then(() => true, () => false);

  it('has a configuration that the builder takes, and that it would refuse with a slip in it', async () => {
    expect(_schema).toContain('scheme.json');
    expect(await valid({})).toBe(true);
    for (const slip of [{ electronFuse: {} }, { electronFuses: { runAsNod: false } }, { win: { targets: [] } }, { fileAssociations: [{ role: 'Viewer' }] }]) expect(await valid(slip), JSON.stringify(slip)).toBe(false);
  });
  it('is made for three systems, never updates itself, and opens saved reports', () => {
    for (const system of [config.win, config.mac, config.linux]) expect(system.target.length).toBeGreaterThan(0);
    expect(config.publish).toBeNull();
    expect(config.fileAssociations).toEqual([expect.objectContaining({ ext: 'rungwise', role: 'Viewer' })]);
  });
  it('has every fuse set the tight way', () => {
    // Electron's security checklist, "Fuses": what an app that needs neither Node nor files from pages switches off, and on.
    expect(config.electronFuses).toEqual({
      runAsNode: false, enableNodeOptionsEnvironmentVariable: false, enableNodeCliInspectArguments: false, grantFileProtocolExtraPrivileges: false, loadBrowserProcessSpecificV8Snapshot: false,
      enableCookieEncryption: true, enableEmbeddedAsarIntegrityValidation: true, onlyLoadAppFromAsar: true,
    });
  });
  it('is one archive, and on macOS runs hardened, without which the system’s own check lets nothing pass', () => {
    // Apple's "Hardened Runtime": switched on for notarization. Fuses that guard the archive guard nothing where there is none.
    expect([config.asar, config.mac.hardenedRuntime]).toEqual([true, true]);
  });
  it('unpacks the native parts, and packs nothing that was not built', () => {
    expect(config.asarUnpack).toEqual(expect.arrayContaining(['node_modules/sharp/**', 'node_modules/@img/**']));
    expect(config.files.filter((pattern) => !pattern.startsWith('!')).map((pattern) => pattern.split('/')[0])).toEqual(['package.json', 'dist', 'sample-frames', 'README.md', 'docs']);
    const { main } = JSON.parse(readFileSync('package.json', 'utf8')) as { main: string };
    expect(existsSync(main)).toBe(true);
  });
  it('has icons of its own for each system', async () => {
    const picture = await sharp(config.linux.icon).metadata();
    expect([picture.width, picture.height, picture.hasAlpha]).toEqual([1024, 1024, true]);
    expect(readFileSync(config.win.icon).subarray(0, 4)).toEqual(Buffer.from([0, 0, 1, 0]));
    const icns = readFileSync(config.mac.icon);
    expect(icns.toString('latin1', 0, 4)).toBe('icns');
    expect(icns.readUInt32BE(4)).toBe(icns.length);
  });
});

describe('licences of what is shipped', () => {
  const parts = shippedParts();
  it('are all permissive, but for those named with a reason', () => {
    expect(parts.filter((part) => !mayShip(part)).map(({ name, licence }) => `${name}: ${licence}`)).toEqual([]);
  });
  it('cover what is installed, what is built into the window and the filters, and the shell', () => {
    for (const name of ['sharp', 'commander', '@img/sharp-libvips-linux-x64', 'react', 'react-dom', 'scheduler', '@fontsource-variable/source-sans-3', 'assemblyscript', 'electron']) expect(parts.map((part) => part.name)).toContain(name);
    for (const name of ['vitest', 'typescript', 'playwright-core', 'eslint']) expect(parts.map((part) => part.name)).not.toContain(name);
  });
  it.each(['GPL-3.0', 'AGPL-3.0-only', 'UNLICENSED', 'unknown', 'MIT AND GPL-2.0', 'LGPL-3.0-or-later'])('would not let "%s" pass', (licence) => expect(mayShip({ name: 'some-package', licence })).toBe(false));
  it('lets the milder of two offered pass', () => expect(mayShip({ name: 'some-package', licence: '(GPL-2.0 OR MIT)' })).toBe(true));
  it('have their texts beside the program', () => {
    const texts = readFileSync('dist/licences.txt', 'utf8');
    for (const { name, version } of parts) expect(texts, name).toContain(`${name} ${version} (`);
  });
});

describe('the package for npm', () => {
  const prefix = path.join(root, 'prefix');
  let files: string[];
  beforeAll(() => {
    mkdirSync(prefix);
    const npm = (args: string[], cwd: string): string => execFileSync('npm', args, { cwd, encoding: 'utf8', shell: process.platform === 'win32' });
    // Without scripts: they would build, and clear away the dist that other tests use.
    const [packed] = JSON.parse(npm(['pack', '--ignore-scripts', '--json', '--pack-destination', root], '.')) as { filename: string; files: { path: string }[] }[];
    files = packed.files.map((file) => file.path);
    npm(['install', '--prefix', prefix, '--prefer-offline', '--no-audit', '--no-fund', '--omit=dev', path.join(root, packed.filename)], root);
  });

  it('holds what is needed and nothing else', () => {
    const tops = new Set(files.map((file) => file.split('/')[0]));
    expect([...tops].sort()).toEqual(['CHANGELOG.md', 'README.md', 'bin', 'dist', 'docs', 'package.json', 'sample-frames']);
    for (const file of ['dist/program/main.js', 'dist/program/frame-worker.js', 'dist/simd/filters.wasm', 'dist/simd/filters-fused.wasm', 'dist/renderer/index.html', 'dist/licences.txt', 'docs/guide.md', 'docs/method.md']) expect(files).toContain(file);
    expect(files.filter((file) => /\.(map|tsx?|test\.js)$/.test(file))).toEqual([]);
  });
  it('checks the sample stack from an empty folder', () => {
    const sample = path.join(prefix, 'node_modules', 'rungwise', 'sample-frames', 'quartz-druse');
    cpSync(`${sample}.rig.json`, path.join(root, 'bench.rig.json'));
    const program = path.join(prefix, 'node_modules', '.bin', process.platform === 'win32' ? 'rungwise.cmd' : 'rungwise');
    const run = (...words: string[]): { status: number; text: string } => {
      try { return { status: 0, text: execFileSync(program, words, { cwd: root, encoding: 'utf8', stdio: ['ignore', 'pipe', 'pipe'], shell: process.platform === 'win32' }) }; } catch (error) {
        const { status, stdout, stderr } = error as { status: number; stdout: string; stderr: string };
        return { status, text: `${stdout}${stderr}` };
      }
    };
    const checked = run('check', sample, '--rig', path.join(root, 'bench.rig.json'));
    // The sample stack lacks a band: 1, frames are missing.
    expect(checked.status, checked.text).toBe(1);
    expect(checked.text).toMatch(/0109.*0110|Add/);
    expect(run('--version').text.trim()).toMatch(/^\d+\.\d+\.\d+$/);
  });
});
