import { homedir } from 'node:os';
import path from 'node:path';

type Environment = Readonly<Record<string, string | undefined>>;

/**
 * Where set-ups are remembered between evenings; never beside the frames. RUNGWISE_SETTINGS names another place.
 * Sources: XDG Base Directory Specification 0.8 (a relative XDG_CONFIG_HOME is ignored); Apple's File System Programming Guide (Application Support);
 * Windows' known folders (APPDATA).
 * @returns an absolute path
 */
export function settingsFolder(env: Environment = process.env, platform: NodeJS.Platform = process.platform, home: string = homedir()): string {
  const named = env['RUNGWISE_SETTINGS'];
  if (named) return path.resolve(named);
  if (platform === 'win32') return path.win32.join(env['APPDATA'] || path.win32.join(home, 'AppData', 'Roaming'), 'rungwise');
  if (platform === 'darwin') return path.posix.join(home, 'Library', 'Application Support', 'rungwise');
  const xdg = env['XDG_CONFIG_HOME'];
  return path.posix.join(xdg && path.posix.isAbsolute(xdg) ? xdg : path.posix.join(home, '.config'), 'rungwise');
}
