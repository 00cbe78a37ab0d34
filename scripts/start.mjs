// Opens the window on the sample stack: in Electron where its program is there, else in a browser on the loopback address. Prints the verdict as well.
import { spawn } from 'node:child_process';
import { existsSync, readFileSync } from 'node:fs';
import path from 'node:path';
import { fileURLToPath } from 'node:url';

const root = path.resolve(path.dirname(fileURLToPath(import.meta.url)), '..');
const stack = ['sample-frames/quartz-druse', '--rig', 'sample-frames/quartz-druse.rig.json'];
const rungwise = (...words) => spawn(process.execPath, ['bin/rungwise.js', ...words], { cwd: root, stdio: 'inherit' });

/** Electron's program, which its package downloads only where installing may run scripts. */
function electronProgram() {
  const folder = path.join(root, 'node_modules', 'electron');
  const named = path.join(folder, 'path.txt');
  if (!existsSync(named)) return null;
  const program = path.join(folder, 'dist', readFileSync(named, 'utf8').trim());
  return existsSync(program) ? program : null;
}

const electron = electronProgram();
const main = path.join(root, 'dist', 'electron', 'main.js');
const window = electron && existsSync(main) ? spawn(electron, [main, ...stack], { cwd: root, stdio: 'inherit' }) : rungwise('serve', ...stack);
// The verdict in the terminal too; its exit status is the stack's, not this script's.
rungwise('check', ...stack);
process.on('SIGINT', () => window.kill('SIGINT'));
window.on('exit', (code) => process.exit(code ?? 0));
