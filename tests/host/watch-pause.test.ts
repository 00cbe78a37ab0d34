import { copyFile, readdir } from 'node:fs/promises';
import path from 'node:path';
import { setTimeout as wait } from 'node:timers/promises';
import { expect, it } from 'vitest';
import type { WatchEvent } from '../../src/contract/host.js';
import type { Report } from '../../src/contract/report.js';
import { analyseFolder } from '../../src/io/analyse-folder.js';
import { watchFolder } from '../../src/io/watch-folder.js';
import { tempFolder } from '../unit/io-helpers/temp-folder.js';

const folder = tempFolder();
const shots = path.resolve('sample-frames/quartz-druse');
const option = (value: number) => ({ value, source: 'option' as const });
const request = { rig: { magnification: option(5), fNumber: option(2.8), pupilRatio: option(1), pixelPitchUm: option(3.9) }, overlap: 0.3, outputWidthPx: null };
const untimed = (report: Report): Report => ({ ...report, timing: { ...report.timing, totalMs: 0, decodeMs: 0, cachedFrames: 0 } });

// Frames are measured and paired once, as they come, and a look at a new one is a quick one: what is said in the pause and at the end must be what a fresh check says.
it('says in a pause and at the end what a fresh check of the folder says, whatever it kept of the frames', async () => {
  const events: WatchEvent[] = [], stop = new AbortController();
  const watch = watchFolder(folder, request, (event) => events.push(event), stop.signal);
  const until = async (found: (event: WatchEvent) => boolean): Promise<Report> => {
    for (let i = 0; i < 900 && !events.some(found); i++) await wait(50);
    const event = events.find(found);
    if (event?.kind !== 'report') throw new Error(`waited in vain; got ${events.map((one) => one.message).join(' | ')}`);
    return event.report;
  };
  const files = (await readdir(shots)).sort().slice(0, 8);
  await copyFile(path.join(shots, files[0]!), path.join(folder, files[0]!));
  await wait(900);
  for (const file of files.slice(1)) {
    await copyFile(path.join(shots, file), path.join(folder, file));
    await until((event) => event.kind === 'report' && event.newest === file);
  }
  const inPause = await until((event) => event.kind === 'report' && event.newest === null), checked = await analyseFolder(folder, { ...request, cache: false });
  expect(checked.stack.frames).toHaveLength(8);
  expect(untimed(inPause)).toEqual(untimed(checked));
  // A quick look is told as one: the window lets only looks at the whole say where no surface lies.
  const said = events.flatMap((event) => (event.kind === 'report' ? [[event.newest, event.whole]] : []));
  expect(said.slice(-4)).toEqual([[files[5], false], [files[6], false], [files[7], false], [null, true]]);
  stop.abort();
  await watch;
}, 60_000);
