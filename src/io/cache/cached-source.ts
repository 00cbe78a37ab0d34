import type { FrameSource } from '../../pipeline/frame-source.js';
import { cacheFolder, cacheLimitBytes } from './cache-folder.js';

/**
 * The same frames, of which those measured before by the same plan and the same code are not decoded again. What is measured anew is kept.
 * Nothing is kept in the stack's own folder, whoever names it: that is never written to.
 *
 * @param source of a folder
 * @param wanted false: neither read nor kept
 */
export function cachedSource(source: FrameSource, wanted = true): FrameSource {
  const folder = cacheFolder();
  if (!wanted || folder === null) return source;
  let cached: Promise<FrameSource['measure']> | null = null;
  return {
    folder: source.folder, frames: source.frames,
    async measure(...asked) {
      // Loaded where it is wanted: with it comes all of Node's cryptography.
      cached ??= import('./measure-cached.js').then(({ measureCached }) => measureCached(source, folder, cacheLimitBytes()));
      return (await cached)(...asked);
    },
  };
}
