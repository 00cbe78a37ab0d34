import { createHash } from 'node:crypto';
import { existsSync, mkdirSync, readFileSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { rendererSources } from '../stack/cached-stack.js';
import { renderTarget } from '../stack/rail-target-stack.js';

/** What the renderer knows of a rail and its target; `folder` holds the frames. */
export interface TargetTruth { folder: string; pixelPitchUm: number; stepUm: number; slackUm: number; tiltDeg: number }

/** Slack of a seed's rail: 5 to 54 µm, the range of hand-driven rails (common practice, no source). */
const slackOfSeed = (seed: number): number => 5 + ((seed * 37) % 50);

/** A rendered rail target from the temporary folder, or rendered into it first. Kept under a key made of the renderer's sources. */
export async function cachedTarget(seed: number, magnification: number, fNumber: number): Promise<TargetTruth> {
  const slackUm = slackOfSeed(seed);
  const hash = createHash('sha256').update(`${seed} ${magnification} ${fNumber} ${slackUm}`);
  for (const file of [...rendererSources(), path.join(import.meta.dirname, '../stack/tripod-cases.ts')]) hash.update(readFileSync(file));
  const parent = path.join(tmpdir(), 'rungwise-rendered', `rail-${magnification}-${seed}-${hash.digest('hex').slice(0, 12)}`);
  const truthFile = path.join(parent, 'rail.json');
  if (!existsSync(parent)) {
    const making = `${parent}.${process.pid}`;
    mkdirSync(making, { recursive: true });
    const { folder, lens, stepUm, tiltDeg } = await renderTarget(making, seed, magnification, fNumber, slackUm);
    writeFileSync(path.join(making, 'rail.json'), JSON.stringify({ folder: path.basename(folder), pixelPitchUm: lens.pixelPitchUm, stepUm, slackUm, tiltDeg }));
    if (existsSync(parent)) rmSync(making, { recursive: true });
    else renameSync(making, parent);
  }
  const truth = JSON.parse(readFileSync(truthFile, 'utf8')) as TargetTruth;
  return { ...truth, folder: path.join(parent, truth.folder) };
}
