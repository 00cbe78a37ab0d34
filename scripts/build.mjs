// Builds dist/ (engine, command line, workers) and, where its sources are there, the window.
import { spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, rmSync } from 'node:fs';
import path from 'node:path';
import { fileURLToPath } from 'node:url';

const root = path.resolve(path.dirname(fileURLToPath(import.meta.url)), '..');
const bin = (name) => path.join(root, 'node_modules', '.bin', name);

/** An installed package carries its dist and no compiler: there is nothing to build then. */
if (!existsSync(bin('tsc'))) process.exit(0);
/** `npx rungwise` in a checkout links the project into npm's own folder and runs this again: what `npm ci` built will do. */
if (process.env.npm_command === 'exec' && existsSync(path.join(root, 'dist', 'cli', 'main.js'))) process.exit(0);

function run(command, args) {
  const result = spawnSync(bin(command), args, { cwd: root, stdio: 'inherit', shell: process.platform === 'win32' });
  if (result.status !== 0) process.exit(result.status ?? 1);
}

if (process.argv.includes('--clean')) rmSync(path.join(root, 'dist'), { recursive: true, force: true });
run('tsc', ['-p', 'tsconfig.json']);
mkdirSync(path.join(root, 'dist', 'simd'), { recursive: true });
const assembly = (sources, out, ...more) => run('asc', [...sources.map((name) => `src/simd/assembly/${name}.ts`), '-o', `dist/simd/${out}.wasm`, '-O3', '--noAssert', '--runtime', 'stub', ...['simd', 'bulk-memory', ...more].flatMap((feature) => ['--enable', feature])]);
const kernels = {
  filters: ['filters', 'cells', 'code-tables', 'jpeg', 'spectra'],
  ladder: ['joint-solve', 'exhaustive', 'follow-tiles', 'look-around', 'focus-curve', 'windows', 'shared-errors', 'tile-stack', 'look-at-folder', 'usable-tiles', 'solve-entries', 'whole-picture'],
  register: ['register', 'robust-fit'],
  coarse: ['coarse'],
};
for (const [name, sources] of Object.entries(kernels)) {
  assembly(sources, name);
  // Products that are added up in one step, for engines that have it; not phases, where what is rounded differently may turn round.
  if (name !== 'register') assembly(sources, `${name}-fused`, 'relaxed-simd');
}
// The program and its threads, what they share in files between them: loading each of some hundred modules by itself takes longer than a frame.
const programs = ['cli/main', 'io/frame-worker', 'io/analysis-worker', 'serve/analysis/stack-worker', 'serve/analysis/refine-worker'];
rmSync(path.join(root, 'dist', 'program'), { recursive: true, force: true });
run('esbuild', [...programs.map((name) => `dist/${name}.js`), '--bundle', '--splitting', '--platform=node', '--target=node20', '--format=esm', '--log-level=warning', '--outdir=dist/program', '--entry-names=[name]',
  // Bundled packages of the older kind ask for Node's own modules by this name.
  "--banner:js=import { createRequire as requireFrom } from 'node:module'; const require = requireFrom(import.meta.url);",
  ...['sharp', 'exifr', 'chokidar'].map((name) => `--external:${name}`)]);
if (existsSync(path.join(root, 'renderer', 'main.tsx'))) run('vite', ['build', '--logLevel', 'warn']);
// Electron's side, each part in one file; a sandboxed preload can load nothing else, and only as CommonJS.
const bundle = ['--bundle', '--platform=node', '--target=node20', '--packages=external', '--log-level=warning'];
run('esbuild', ['electron/main.ts', ...bundle, '--format=esm', '--outfile=dist/electron/main.js']);
run('esbuild', ['electron/preload.ts', ...bundle, '--format=cjs', '--outfile=dist/electron/preload.cjs']);
// The texts that the licences of all shipped parts ask for.
spawnSync(process.execPath, [path.join(root, 'scripts', 'licences.mjs'), '--texts', path.join(root, 'dist', 'licences.txt')], { cwd: root, stdio: 'inherit' });
