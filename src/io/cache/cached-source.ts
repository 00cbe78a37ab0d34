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
  // Loaded where it is wanted: with it comes all of Node's cryptography.
  const load = () => Promise.all([import('./measure-cached.js'), import('./measure-store.js')]).then(([{ measureCached }, { MeasureStore }]) => ({ measureCached, store: new MeasureStore(folder, cacheLimitBytes()) }));
  let parts: ReturnType<typeof load> | null = null;
  return {
    folder: source.folder, frames: source.frames,
    async measure(...asked) { const { measureCached, store } = await (parts ??= load()); return measureCached(source, folder, store, ...asked); },
  };
}
