import { test } from 'vitest';
import { planCase } from '../helpers/stack/all-cases.js';
import { writeStack } from '../helpers/stack/write-stack.js';

/** OUT=folder CASE=name SEED=n: one rendered stack with its truth. */
test('render a stack', async () => {
  const { OUT, CASE = 'plane', SEED = '1' } = process.env;
  if (!OUT) throw new Error('Say where to: OUT=folder CASE=plane SEED=1.');
  const stack = planCase(CASE, Number(SEED));
  const began = Date.now();
  const truth = await writeStack(stack, OUT);
  console.log(`${stack.name}: ${truth.frames.length} frames in ${((Date.now() - began) / 1000).toFixed(1)} s`);
});
