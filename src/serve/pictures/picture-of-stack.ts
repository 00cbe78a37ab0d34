import type { BytesMap } from '../../contract/channels.js';
import { UserError } from '../../contract/errors.js';
import type { PictureRequest } from '../../contract/host.js';
import type { Report } from '../../contract/report.js';
import type { OpenStack } from '../stacks/stack-registry.js';
import { composeSharpest, type LevelPart } from './compose-sharpest.js';
import { encodeCrop } from './encode-crop.js';
import { partOfLevel } from './part-of-level.js';
import { levelSize, type PixelLevel } from './pixel-level.js';

/** Frames named in a note; more are counted. */
const NAMED = 2;

/** The pixels asked for, encoded. Frames are found by their opaque id alone: no path comes from the window. After the signal no further frame is decoded for it. */
export async function pictureOfStack(stack: OpenStack, request: PictureRequest, signal?: AbortSignal): Promise<BytesMap['picture']['answer']> {
  const { report } = stack;
  const answer = async (level: PixelLevel, part: LevelPart, note: string | null = null): Promise<BytesMap['picture']['answer']> => ({ mediaType: 'image/jpeg', bytes: await encodeCrop(level, part), note });
  if (request.picture === 'sharpest' && report) {
    const part = partOfLevel(levelSize(report.stack.height, report.stack.width, request.level), request);
    const { piece, note } = await sharpestPiece(stack, report, request.level, part, signal);
    return answer(piece, { row: 0, column: 0, rows: piece.rows, columns: piece.columns }, note);
  }
  const level = await stack.pictures.level(request.picture === 'sharpest' ? middleReadable(stack) : frameOf(stack, request.picture), request.level, signal);
  return answer(level, partOfLevel(level, request));
}

/** A frame of the preview that is gone, was replaced or can't be read. */
class LostFrameError extends Error {
  constructor(readonly frame: number, readonly reason: UserError) { super(reason.message); }
}

/** Put together for the asked part alone. Frames that are lost are left out and named; their places come from the frames of the places around. */
async function sharpestPiece(stack: OpenStack, report: Report, level: number, part: LevelPart, signal?: AbortSignal): Promise<{ piece: PixelLevel; note: string | null }> {
  const frameLevel = (frame: number): Promise<PixelLevel> => stack.pictures.level(frame, level, signal).catch((error: unknown) => {
    throw error instanceof UserError ? new LostFrameError(frame, error) : error;
  });
  const lost = new Map<number, UserError>();
  for (;;) {
    const make = (): Promise<PixelLevel> => composeSharpest(report, level, frameLevel, part, new Set(lost.keys()));
    try {
      // What lacks a frame is not kept: it may be back the next time.
      if (lost.size > 0) return { piece: await make(), note: noteOf([...lost.values()]) };
      return { piece: await stack.pictures.made(`sharpest ${stack.revision}/${level}/${part.row}/${part.column}/${part.rows}/${part.columns}`, make, signal), note: null };
    } catch (error) {
      if (!(error instanceof LostFrameError)) throw error;
      if (lost.has(error.frame) || lost.size >= report.stack.frames.length) throw error.reason;
      lost.set(error.frame, error.reason);
    }
  }
}

function noteOf(reasons: readonly UserError[]): string {
  const named = reasons.slice(0, NAMED).map(({ message }) => message).join(' '), more = reasons.length - NAMED;
  return `${named}${more > 0 ? ` ${more === 1 ? 'One more frame' : `${more} more frames`} can’t be shown either.` : ''} The preview shows other frames instead; the verdict is still that of the frames as they were read.`;
}

function frameOf(stack: OpenStack, frameId: string): number {
  const index = stack.info.frames.findIndex((frame) => frame.frameId === frameId);
  if (index < 0) throw new UserError('This frame is not part of the open stack.', 'Open the folder again.');
  return index;
}

function middleReadable(stack: OpenStack): number {
  const readable = [...stack.info.frames.keys()].filter((i) => stack.info.frames[i].problem === null);
  if (readable.length === 0) throw new UserError('No frame of this folder can be read.', 'Choose another folder.');
  return readable[Math.floor(readable.length / 2)];
}
