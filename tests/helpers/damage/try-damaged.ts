import { createHash } from 'node:crypto';
import { mkdirSync, readFileSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { UserError } from '../../../src/contract/errors.js';
import { fromShortFloats } from '../../../src/image/short-floats.js';
import { openFolder } from '../../../src/io/open-folder.js';
import { planMeasurement } from '../../../src/sharpness/plan-measurement.js';
import { noise } from '../../unit/io-helpers/picture.js';
import { damageFile } from './damage-file.js';
import type { WholeFile } from './whole-files.js';

/** The first cells' values. */
const values = (codes: Uint16Array): Float32Array => fromShortFloats(codes.subarray(0, 4), new Float32Array(Math.min(4, codes.length)));

/** What became of damaged files. `complaints`: where the program did not keep to its promise. */
export interface DamagedOutcome { tried: number; measured: number; named: number; complaints: string[] }

/** Reading one folder of small files takes a second or two; a decoder that waits for ever takes longer. */
const HANG_MS = 120_000;

/**
 * Damages files, puts them into a folder, opens it and measures every frame as a check does, in worker threads. Promised is: nothing hangs or
 * crashes, each file is measured or named with a reason in plain words, and none is changed.
 * @param seed what fails can be had again by it
 */
export async function tryDamaged(folder: string, whole: readonly WholeFile[], seed: number, count: number): Promise<DamagedOutcome> {
  mkdirSync(folder);
  const random = noise(seed), what = new Map<string, string>();
  for (let i = 0; i < count; i++) {
    const file = damageFile(whole, random), name = `f${String(i).padStart(4, '0')}.${file.ending}`;
    writeFileSync(path.join(folder, name), file.bytes);
    what.set(name, file.what);
  }
  const outcome: DamagedOutcome = { tried: count, measured: 0, named: 0, complaints: [] };
  const complain = (file: string, words: string): void => { outcome.complaints.push(`seed ${seed}, ${file} (${what.get(file) ?? ''}): ${words}`); };
  const before = fingerprint(folder);
  try {
    await inTime(readAll(folder, outcome, complain, [...what.keys()]));
  } catch (error) {
    if (!(error instanceof UserError)) complain('folder', error instanceof Error ? error.stack ?? error.message : String(error));
  }
  if (fingerprint(folder) !== before) complain('folder', 'was written to');
  rmSync(folder, { recursive: true });
  return outcome;
}

async function readAll(folder: string, outcome: DamagedOutcome, complain: (file: string, words: string) => void, files: readonly string[]): Promise<void> {
  const source = await openFolder(folder), answered = new Set<string>();
  const reason = (file: string, words: string): void => {
    outcome.named++;
    if (words.length < 10 || words.length > 300 || /\n|\.js:|undefined|\[object|node:/.test(words)) complain(file, `is named with "${words}"`);
  };
  // Each size is a stack of its own, so that every frame is decoded.
  const bySize = new Map<string, number[]>();
  source.frames.forEach((frame, i) => {
    answered.add(frame.file);
    if (frame.problem !== null) { reason(frame.file, frame.problem); return; }
    const size = `${frame.rows}×${frame.columns}`;
    bySize.set(size, [...bySize.get(size) ?? [], i]);
  });
  for (const indices of bySize.values()) {
    const { rows, columns } = source.frames[indices[0]], left = new Set(indices);
    await source.measure(indices, planMeasurement(rows, columns, 0.42), (i, measure) => {
      outcome.measured++;
      left.delete(i);
      if (![measure.meanRoot, ...values(measure.brightness), ...values(measure.energy[0])].every(Number.isFinite)) complain(source.frames[i].file, 'was measured as no number');
    }, (i, words) => { left.delete(i); reason(source.frames[i].file, words); });
    for (const i of left) complain(source.frames[i].file, 'was lost while measuring');
  }
  for (const file of files) if (!answered.has(file)) complain(file, 'was lost from the list');
}

async function inTime<T>(work: Promise<T>): Promise<T> {
  let timer: NodeJS.Timeout | undefined;
  const late = new Promise<never>((_, reject) => { timer = setTimeout(() => reject(new Error(`hangs for more than ${HANG_MS / 1000} s`)), HANG_MS); });
  try { return await Promise.race([work, late]); } finally { clearTimeout(timer); }
}

function fingerprint(folder: string): string {
  const hash = createHash('sha256');
  for (const name of readdirSync(folder).sort()) hash.update(name).update(readFileSync(path.join(folder, name)));
  return hash.digest('hex');
}
