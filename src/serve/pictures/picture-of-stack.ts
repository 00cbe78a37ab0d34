import { UserError } from '../../contract/errors.js';
import type { PictureRequest } from '../../contract/host.js';
import type { OpenStack } from '../stacks/stack-registry.js';
import { composeSharpest } from './compose-sharpest.js';
import { encodeCrop } from './encode-crop.js';
import type { PixelLevel } from './pixel-level.js';

/** The pixels asked for, encoded. Frames are found by their opaque id alone: no path comes from the window. */
export async function pictureOfStack(stack: OpenStack, request: PictureRequest): Promise<{ mediaType: string; bytes: Uint8Array }> {
  const level = await levelOfStack(stack, request.picture, request.level);
  return { mediaType: 'image/jpeg', bytes: await encodeCrop(level, request.row, request.column, request.rows, request.columns) };
}

function levelOfStack(stack: OpenStack, picture: string, level: number): Promise<PixelLevel> {
  if (picture !== 'sharpest') {
    const index = stack.info.frames.findIndex((frame) => frame.frameId === picture);
    if (index < 0) throw new UserError('This frame is not part of the open stack.', 'Open the folder again.');
    return stack.pictures.level(index, level);
  }
  const { report, revision } = stack;
  if (!report) return stack.pictures.level(middleReadable(stack), level);
  return stack.pictures.made(`sharpest ${revision}/${level}`, () => composeSharpest(report, level, (frame) => stack.pictures.level(frame, level)));
}

function middleReadable(stack: OpenStack): number {
  const readable = [...stack.info.frames.keys()].filter((i) => stack.info.frames[i].problem === null);
  if (readable.length === 0) throw new UserError('No frame of this folder can be read.', 'Choose another folder.');
  return readable[Math.floor(readable.length / 2)];
}
