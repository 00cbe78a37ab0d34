import { writeFile } from 'node:fs/promises';
import path from 'node:path';
import { test } from 'vitest';
import { sampleStack } from '../helpers/stack/sample-stack.js';
import { writeStack } from '../helpers/stack/write-stack.js';

/** Renders the sample stack again, bit for bit, with its truth and its rig card. */
test('render the sample stack', async () => {
  const parent = process.env.OUT ?? path.resolve(import.meta.dirname, '../../sample-frames');
  const stack = sampleStack();
  await writeStack(stack, parent);
  const { magnification, fNumber, pupilRatio, pixelPitchUm } = stack.lens;
  const rig = { schema: 'rungwise.rig/1', name: 'Micromount bench, 5×', magnification, fNumber, pupilRatio, pixelPitchUm, railUnitUm: 10, workingDistanceMm: 42 };
  await writeFile(path.join(parent, `${stack.name}.rig.json`), `${JSON.stringify(rig, null, 2)}\n`);
});
