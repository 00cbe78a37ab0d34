import path from 'node:path';
import { createRequire } from 'node:module';
import type { Command } from 'commander';
import { PROGRAM_VERSION } from '../../contract/version.js';
import { findRigCard } from '../../io/find-rig-card.js';
import { rigCardInfo } from '../../io/rig-card-store.js';
import type { Backend } from '../../serve/backend.js';
import type { CommandContext } from '../command-context.js';
import { numberOption } from '../number-option.js';
import { printVerdict } from '../print-verdict.js';

interface ServeOptions { port?: number; rig?: string; printVerdict?: true }

const windowFolder = path.dirname(createRequire(import.meta.url).resolve('#window'));

/** The window in a browser, for this machine alone. */
export function registerServe(program: Command, context: CommandContext): void {
  program.command('serve')
    .summary('the window, in a browser on this machine only')
    .description('Opens the window in a browser, on an address only this machine can reach.')
    .argument('[folder]', 'the stack to open')
    .option('--port <PORT>', 'listen there and nowhere else', numberOption('--port', { min: 1, max: 65_535, what: 'Port', unit: '', example: '8642' }, true))
    .option('--rig <NAME>', 'a rig card, by the name it was saved under or by its file')
    .option('--print-verdict', 'check the folder at once and print the verdict here as well')
    .addHelpText('after', '\nOpen the whole address that is printed: it carries the key that lets you in.\nCtrl-C ends it.\n\nExample:\n  rungwise serve shots/ --rig "Bench, 5x"\n')
    .action(async (folder: string | undefined, options: ServeOptions) => {
      // The window's other side is loaded only here: no other command should wait for it.
      const { openWindowBackend } = await import('../../serve/open-window-backend.js');
      const rigCard = options.rig === undefined ? null : rigCardInfo(await findRigCard(options.rig));
      const backend = openWindowBackend({ version: PROGRAM_VERSION, folder: folder === undefined ? null : path.resolve(folder), rigCard });
      try {
        // Frames are read while the browser still starts.
        backend.readAhead();
        await serve(backend, options, context);
      } finally {
        await backend.close();
      }
    });
}

async function serve(backend: Backend, options: ServeOptions, context: CommandContext): Promise<void> {
  const { startLoopbackServer } = await import('../../serve/http/loopback-server.js');
  const server = await startLoopbackServer({ backend, windowFolder, port: options.port ?? null });
  context.stdout.write(`Open this address in a browser on this machine:\n${server.address}\n`);
  if (options.printVerdict) void printVerdict(backend, context.stdout, context.signal);
  await new Promise<void>((resolve) => {
    if (context.signal.aborted) resolve();
    context.signal.addEventListener('abort', () => resolve(), { once: true });
  });
  await server.close();
}
