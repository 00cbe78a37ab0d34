// Opens the window on the sample stack: in Electron where its program is there, else in a browser on the loopback address. The verdict is printed as well; the frames are read once.
import { spawn } from 'node:child_process';
import { existsSync, readFileSync } from 'node:fs';
import path from 'node:path';
import { fileURLToPath } from 'node:url';

const root = path.resolve(path.dirname(fileURLToPath(import.meta.url)), '..');
const stack = ['sample-frames/quartz-druse', '--rig', 'sample-frames/quartz-druse.rig.json'];
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
const words = [...stack, '--print-verdict'];
const [program, ...before] = electron && existsSync(main) ? [electron, main] : [process.execPath, path.join('bin', 'rungwise.js'), 'serve'];
const window = spawn(program, [...before, ...words], { cwd: root, stdio: 'inherit' });
process.on('SIGINT', () => window.kill('SIGINT'));
window.on('exit', (code) => process.exit(code ?? 0));
