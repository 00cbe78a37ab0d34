import { execFileSync } from 'node:child_process';
import { existsSync } from 'node:fs';

const PLACES = [process.env['RUNGWISE_CHROMIUM'], '/usr/bin/chromium', '/usr/bin/chromium-browser', '/usr/bin/google-chrome', '/usr/bin/microsoft-edge',
  '/Applications/Google Chrome.app/Contents/MacOS/Google Chrome', 'C:\\Program Files\\Google\\Chrome\\Application\\chrome.exe', 'C:\\Program Files (x86)\\Microsoft\\Edge\\Application\\msedge.exe'];

/** The system's browser. Where there is none, root on Debian gets Chromium; everybody else is told what to install. */
export function findChromium(): string {
  const found = PLACES.find((place) => place !== undefined && existsSync(place));
  if (found) return found;
  if (process.getuid?.() === 0 && existsSync('/etc/debian_version')) {
    execFileSync('apt-get', ['install', '-y', '--no-install-recommends', 'chromium'], { stdio: 'inherit' });
    if (existsSync('/usr/bin/chromium')) return '/usr/bin/chromium';
  }
  throw new Error('The window tests need a browser: install Chromium, Chrome or Edge, or name one in RUNGWISE_CHROMIUM.');
}

export const CHROMIUM_SWITCHES = ['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking', '--disable-component-update', '--disable-sync'];
