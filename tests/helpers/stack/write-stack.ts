import { mkdir, writeFile } from 'node:fs/promises';
import path from 'node:path';
import sharp from 'sharp';
import type { PlannedStack } from './planned-stack.js';
import { renderStack } from './render-stack.js';
import { stackTruth, type StackTruth } from './stack-truth.js';

/** Renders a stack into `parent`/NAME/ as JPEG files, with its truth in `parent`/NAME.truth.json. */
export async function writeStack(stack: PlannedStack, parent: string): Promise<StackTruth> {
  const folder = path.join(parent, stack.name);
  await mkdir(folder, { recursive: true });
  const files = stack.frames.map((_, i) => `P${String(1101 + i).padStart(5, '0')}.jpg`);
  await renderStack(stack, async (i, pixels) => {
    const { rows, columns } = stack.picture;
    const shrink = stack.shrink ?? 1;
    await sharp(pixels, { raw: { width: columns, height: rows, channels: 3 } })
      .resize(Math.round(columns / shrink), Math.round(rows / shrink))
      .jpeg({ ...stack.jpeg, mozjpeg: false })
      .withExif(exifOf(i))
      .toFile(path.join(folder, files[i]));
  });
  const truth = stackTruth(stack, files);
  await writeFile(path.join(parent, `${stack.name}.truth.json`), JSON.stringify(truth));
  return truth;
}

/** A manual lens writes no aperture; times are 4 s apart. */
function exifOf(frame: number) {
  const seconds = 9 * 3600 + 4 * frame;
  const two = (n: number) => String(Math.floor(n)).padStart(2, '0');
  const time = `2026:10:03 ${two(seconds / 3600)}:${two((seconds / 60) % 60)}:${two(seconds % 60)}`;
  return { IFD0: { Model: 'Bench camera' }, IFD2: { DateTimeOriginal: time } };
}
