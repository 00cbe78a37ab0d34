// npm run bench -- [--frames N] [--of M] [--rounds N]: the whole check against bare decoding of the same files, in turn in one run. With --of only M frames are
// made, and each stands in the folder under several names.
import { spawnSync } from 'node:child_process';
import { readdirSync, rmSync } from 'node:fs';
import { availableParallelism, tmpdir } from 'node:os';
import path from 'node:path';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';
import { poolSize } from '../dist/io/pool-size.js';
import { linkFrames } from './bench/link-frames.mjs';
import { makeFrames } from './bench/make-frames.mjs';

const { values } = parseArgs({ options: { frames: { type: 'string', default: '20' }, of: { type: 'string' }, rounds: { type: 'string', default: '3' } } });
const frames = Number(values.frames), of = Number(values.of ?? values.frames), rounds = Number(values.rounds);
if (!(of >= 3 && frames >= of && rounds >= 1)) throw new Error('--frames must be 3 or more, --of 3 to --frames, and --rounds 1 or more');

function run(script, args) {
  const file = fileURLToPath(new URL(`./bench/${script}`, import.meta.url));
  const child = spawnSync(process.execPath, [file, ...args], { encoding: 'utf8', stdio: ['ignore', 'pipe', 'inherit'] });
  if (child.status !== 0) throw new Error(`${script} ended with status ${child.status}`);
  return JSON.parse(child.stdout.trim().split('\n').at(-1));
}

const folder = of < frames ? linkFrames(await makeFrames(of), frames) : await makeFrames(frames);
const files = readdirSync(folder).sort().map((name) => path.join(folder, name));
const workers = poolSize(availableParallelism(), frames, 24e6);
const json = path.join(tmpdir(), `rungwise-bench-${process.pid}.json`);
const seconds = (ms) => `${(ms / 1000).toFixed(1)} s`;
const median = (list) => [...list].sort((a, b) => a - b)[Math.floor(list.length / 2)];

console.log(`${frames} frames of 24 MP, ${workers} workers`);
const ratios = [];
for (let round = 1; round <= rounds; round++) {
  const bare = run('decode-all.mjs', [String(workers), ...files]);
  const check = run('check-all.mjs', [folder, json]);
  ratios.push(check.ms / bare.ms);
  console.log(`round ${round}: bare decoding ${seconds(bare.ms)}, whole check ${seconds(check.ms)}, ratio ${ratios.at(-1).toFixed(2)}; peak memory ${check.peakMb.toFixed(0)} MB (bare ${bare.peakMb.toFixed(0)} MB)`);
}
rmSync(json, { force: true });
const stages = run('stages.mjs', [folder]);
console.log(`stages: decode ${seconds(stages.decodeMs)} and measure ${seconds(stages.measureMs)} (summed over ${workers} workers), register ${seconds(stages.registerMs)}, solve ${seconds(stages.solveMs)}`);
console.log(`median ratio ${median(ratios).toFixed(2)}`);
