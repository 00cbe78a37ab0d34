import { homedir } from 'node:os';
import path from 'node:path';

/** Where set-ups are remembered between evenings; never beside the frames. RUNGWISE_SETTINGS names another place. */
export function settingsFolder(env: Readonly<Record<string, string | undefined>> = process.env): string {
  if (env['RUNGWISE_SETTINGS']) return env['RUNGWISE_SETTINGS'];
  if (process.platform === 'win32' && env['APPDATA']) return path.join(env['APPDATA'], 'rungwise');
  if (process.platform === 'darwin') return path.join(homedir(), 'Library', 'Application Support', 'rungwise');
  return path.join(env['XDG_CONFIG_HOME'] ?? path.join(homedir(), '.config'), 'rungwise');
}
