import { createHash } from 'node:crypto';
import { existsSync, mkdirSync, readFileSync, readdirSync, renameSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { CASES, planCase } from './all-cases.js';
import type { StackTruth } from './stack-truth.js';
import { writeStack } from './write-stack.js';

const helpers = path.resolve(import.meta.dirname, '..');
const RENDERED_BY = ['../../src/optics/defocused-otf.ts', 'render', 'scene', 'stack'];
/** Files that decide nothing about a case's pixels. */
const BESIDE = /\.test\.ts$|quartz|crystal|sample-stack|all-cases|cached-stack|-cases\.ts$/;

/** A rendered stack from the temporary folder, or rendered into it first. Kept under a key made of the case, the seed and the renderer's sources. */
export async function cachedStack(name: string, seed: number): Promise<{ folder: string; truth: StackTruth }> {
  const hash = createHash('sha256').update(`${name} ${seed} ${CASES[name].recipe ?? ''}`.trim());
  for (const file of [...rendererSources(), path.join(helpers, 'stack/tripod-cases.ts'), path.join(helpers, 'stack', CASES[name].definedIn)]) hash.update(readFileSync(file));
  const parent = path.join(tmpdir(), 'rungwise-rendered', `${name}-${seed}-${hash.digest('hex').slice(0, 12)}`);
  if (!existsSync(parent)) {
    const making = `${parent}.${process.pid}`;
    mkdirSync(making, { recursive: true });
    await writeStack(planCase(name, seed), making);
    if (existsSync(parent)) rmSync(making, { recursive: true });
    else renameSync(making, parent);
  }
  const truthFile = readdirSync(parent).find((f) => f.endsWith('.truth.json'))!;
  const truth = JSON.parse(readFileSync(path.join(parent, truthFile), 'utf8')) as StackTruth;
  return { folder: path.join(parent, truth.name), truth };
}

/** Files that decide what a rendered stack looks like. */
export function rendererSources(): string[] {
  return RENDERED_BY.flatMap((entry) => {
    const whole = path.resolve(helpers, entry);
    return entry.endsWith('.ts') ? [whole] : readdirSync(whole).sort().filter((f) => !BESIDE.test(f)).map((f) => path.join(whole, f));
  });
}
