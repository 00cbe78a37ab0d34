import path from 'node:path';
import type { SourceFrame } from '../pipeline/frame-source.js';
import { isRawName } from './frame-formats.js';

/**
 * Counts a frame once that a camera saved as raw file and as picture: by the one with more pixels and, of equals, by the picture.
 * @param frames of one folder, in any order
 * @returns those counted, each naming the file beside it that is not
 */
export function countOnce(frames: readonly SourceFrame[]): SourceFrame[] {
  const byStem = new Map<string, SourceFrame[]>();
  for (const frame of frames) {
    // Some systems change the case of names when they copy, or take accents apart from their letters.
    const stem = path.parse(frame.file).name.normalize('NFC').toLowerCase();
    byStem.set(stem, [...byStem.get(stem) ?? [], frame]);
  }
  return [...byStem.values()].flatMap((same) => {
    const raw = same.filter(({ file }) => isRawName(file)), pictures = same.filter(({ file }) => !isRawName(file));
    if (raw.length !== 1 || pictures.length !== 1) return same;
    const [inside, picture] = [raw[0], pictures[0]];
    const used = pixels(inside) > pixels(picture) ? inside : picture;
    return [{ ...used, beside: used === inside ? picture.file : inside.file }];
  });
}

/** None where it can't be read. */
const pixels = ({ rows, columns, problem }: SourceFrame): number => (problem === null ? rows * columns : 0);
