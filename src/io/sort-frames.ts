import path from 'node:path';

const byName = new Intl.Collator('en', { numeric: true, sensitivity: 'base' });

/**
 * File order: natural (IMG_9 before IMG_10) by the name without its ending; names that read alike (9 and 09, a and A)
 * are told apart by capture time, then by their exact letters so that the order never depends on the disk.
 */
export function compareFrames(a: { file: string; captureTimeMs: number | null }, b: { file: string; captureTimeMs: number | null }): number {
  const named = byName.compare(path.parse(a.file).name, path.parse(b.file).name);
  if (named !== 0) return named;
  if (a.captureTimeMs !== null && b.captureTimeMs !== null && a.captureTimeMs !== b.captureTimeMs) return a.captureTimeMs - b.captureTimeMs;
  return a.file < b.file ? -1 : a.file > b.file ? 1 : 0;
}
