import { homedir } from 'node:os';
import path from 'node:path';

type Environment = Readonly<Record<string, string | undefined>>;

/**
 * Where measurements are kept between runs: the system's place for what may be deleted at any time, never beside the frames.
 * RUNGWISE_CACHE names another place; "off" keeps nothing.
 * Sources: XDG Base Directory Specification 0.8 (a relative XDG_CACHE_HOME is ignored); Apple's File System Programming Guide (Library/Caches);
 * Windows' known folders (LOCALAPPDATA).
 *
 * @returns an absolute path, or null where nothing is to be kept
 */
export function cacheFolder(env: Environment = process.env, platform: NodeJS.Platform = process.platform, home: string = homedir()): string | null {
  const named = env['RUNGWISE_CACHE'];
  if (named === 'off') return null;
  if (named) return path.resolve(named);
  if (platform === 'win32') return path.win32.join(env['LOCALAPPDATA'] || path.win32.join(home, 'AppData', 'Local'), 'rungwise', 'cache');
  if (platform === 'darwin') return path.posix.join(home, 'Library', 'Caches', 'rungwise');
  const xdg = env['XDG_CACHE_HOME'];
  return path.posix.join(xdg && path.posix.isAbsolute(xdg) ? xdg : path.posix.join(home, '.cache'), 'rungwise');
}

/** A frame of 24 megapixels takes about 2.2 MB at 5×: some nine hundred frames. */
const DEFAULT_LIMIT_MB = 2048;

/** Most bytes kept; RUNGWISE_CACHE_MB sets another limit. */
export function cacheLimitBytes(env: Environment = process.env): number {
  const asked = Number(env['RUNGWISE_CACHE_MB']);
  return (env['RUNGWISE_CACHE_MB'] && asked >= 0 ? asked : DEFAULT_LIMIT_MB) * 1e6;
}
