import { createHash } from 'node:crypto';
import { mkdtemp, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { expect, it } from 'vitest';
import { sampleStack } from '../helpers/stack/sample-stack.js';
import { writeStack } from '../helpers/stack/write-stack.js';

/** One digest of everything a small form of the sample stack writes. */
async function digestOfRendering(seedShift = 0): Promise<string> {
  const parent = await mkdtemp(path.join(tmpdir(), 'rungwise-sample-'));
  try {
    const stack = sampleStack(0.13, 3);
    stack.noiseSeed += seedShift;
    const truth = await writeStack(stack, parent);
    const hash = createHash('sha256').update(await readFile(path.join(parent, 'quartz-druse.truth.json')));
    for (const file of truth.frames) hash.update(await readFile(path.join(parent, 'quartz-druse', file)));
    return hash.digest('hex');
  } finally { await rm(parent, { recursive: true, force: true }); }
}

it('renders the same sample stack, bit for bit, every time', async () => {
  const first = await digestOfRendering();
  expect(await digestOfRendering()).toBe(first);
  expect(await digestOfRendering(1)).not.toBe(first); // the digest does see the pixels
});
