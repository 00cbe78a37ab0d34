import type { Finding } from '../contract/report.js';

/** What a frame's file was, as far as the reader of the report should know. */
export interface FrameOrigin {
  file: string;
  columns: number;
  fromRaw?: boolean;
  beside?: string;
  facts: { sensorPixelsPerPixel?: number; otherColumns?: number };
}

/** What the files themselves say about how far the answer carries: pictures out of raw files, small ones, edited ones, frames saved twice. */
export function sourceFindings(frames: readonly FrameOrigin[]): Finding[] {
  const findings: Finding[] = [];
  const add = (kind: string, severity: Finding['severity'], is: (frame: FrameOrigin) => boolean, say: (first: FrameOrigin, count: number) => Pick<Finding, 'message' | 'remedy'>): void => {
    const hit = frames.flatMap((frame, i) => (is(frame) ? [i] : []));
    if (hit.length > 0) findings.push({ kind, severity, frames: hit.length === frames.length ? [] : hit, ...say(frames[hit[0]], hit.length) });
  };
  add('small-preview', 'warn', (frame) => (frame.facts.sensorPixelsPerPixel ?? 1) > 1, ({ columns, facts }) => ({
    message: `The JPEG in the raw files is smaller than the shot: ${columns} of ${Math.round(columns * (facts.sensorPixelsPerPixel ?? 1))} pixels across. Finer detail was not judged, so a place called sharp may still be soft at full size.`,
    remedy: 'Save JPEGs beside the raw files, or develop them all alike at full size, and check those.',
  }));
  add('raw-preview', 'info', (frame) => frame.fromRaw === true, () => ({
    message: 'Raw files were judged by the largest JPEG that the camera put into each.',
    remedy: 'Set sharpening and noise reduction low in the camera: they act on that JPEG.',
  }));
  add('counted-once', 'info', (frame) => frame.beside !== undefined, (first, count) => ({
    message: `${count === 1 ? 'One frame is' : `${count} frames are`} there as raw file and as picture, and ${count === 1 ? 'was' : 'were'} counted once: ${first.file} was used, not ${first.beside}${count === 1 ? '' : ', and so on'}.`,
  }));
  add('resized', 'info', (frame) => frame.facts.otherColumns !== undefined, ({ columns, facts }) => ({
    message: `The files are ${columns} pixels wide where the camera wrote ${facts.otherColumns}: they were resized, cropped or turned. The pixel pitch in them was not used.`,
    remedy: 'Give --pixel-pitch for the pixels as they are now: twice the sensor’s at half the width, the sensor’s own after cropping.',
  }));
  return findings;
}
