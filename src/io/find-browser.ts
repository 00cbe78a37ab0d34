import { access, constants } from 'node:fs/promises';
import path from 'node:path';

/** Names of browsers that can print a page to PDF without a window, as they lie on the search path. */
const COMMANDS = ['chromium', 'chromium-browser', 'google-chrome', 'google-chrome-stable', 'microsoft-edge', 'msedge'];
/** Where they lie on systems that do not put programs on the path. */
const PLACES = [
  '/Applications/Chromium.app/Contents/MacOS/Chromium', '/Applications/Google Chrome.app/Contents/MacOS/Google Chrome',
  '/Applications/Microsoft Edge.app/Contents/MacOS/Microsoft Edge',
  'C:\\Program Files\\Google\\Chrome\\Application\\chrome.exe', 'C:\\Program Files (x86)\\Microsoft\\Edge\\Application\\msedge.exe',
];

/**
 * A browser on this computer that prints to PDF, or null. RUNGWISE_BROWSER names another.
 */
export async function findBrowser(env: Readonly<Record<string, string | undefined>> = process.env): Promise<string | null> {
  if (env['RUNGWISE_BROWSER']) return env['RUNGWISE_BROWSER'];
  const ending = process.platform === 'win32' ? '.exe' : '';
  const onPath = (env['PATH'] ?? '').split(path.delimiter).filter((folder) => folder !== '').flatMap((folder) => COMMANDS.map((name) => path.join(folder, name + ending)));
  for (const candidate of [...onPath, ...PLACES]) {
    if (await access(candidate, constants.X_OK).then(() => true, () => false)) return candidate;
  }
  return null;
}
