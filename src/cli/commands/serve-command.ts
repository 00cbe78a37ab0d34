import path from 'node:path';
import { createRequire } from 'node:module';
import { fileURLToPath } from 'node:url';
import type { Command } from 'commander';
import { RIG_FIELDS, type RigCardInfo } from '../../contract/host.js';
import { findRigCard } from '../../io/find-rig-card.js';
import { openWindowBackend } from '../../serve/open-window-backend.js';
import { startLoopbackServer } from '../../serve/http/loopback-server.js';
import type { CommandContext } from '../command-context.js';
import { numberOption } from '../number-option.js';

interface ServeOptions { port?: number; rig?: string }

const { version } = createRequire(import.meta.url)('../../../package.json') as { version: string };
const windowFolder = fileURLToPath(new URL('../../renderer', import.meta.url));

/** The window in a browser, for this machine alone. */
export function registerServe(program: Command, context: CommandContext): void {
  program.command('serve')
    .description('The window in a browser, on an address only this machine can reach.')
    .argument('[FOLDER]', 'the stack to open')
    .option('--port <PORT>', 'listen there and nowhere else', numberOption('--port', { min: 1, max: 65_535, what: 'Port', unit: '', example: '8642' }, true))
    .option('--rig <FILE>', 'a saved rig card, by name or file')
    .addHelpText('after', '\nOpen the whole address that is printed: it carries the token that lets you in. Ctrl-C ends it.\n\nExample:\n  rungwise serve sample-frames/quartz-druse --rig sample-frames/quartz-druse.rig.json\n')
    .action(async (folder: string | undefined, options: ServeOptions) => {
      const rigCard = options.rig === undefined ? null : cardInfo(await findRigCard(options.rig));
      const backend = openWindowBackend({ version, folder: folder === undefined ? null : path.resolve(folder), rigCard });
      const server = await startLoopbackServer({ backend, windowFolder, port: options.port ?? null });
      context.stdout.write(`Open this address in a browser on this machine:\n${server.address}\n`);
      await new Promise<void>((resolve) => {
        if (context.signal.aborted) resolve();
        context.signal.addEventListener('abort', () => resolve(), { once: true });
      });
      await server.close();
      await backend.close();
    });
}

function cardInfo(card: Awaited<ReturnType<typeof findRigCard>>): RigCardInfo {
  const values: RigCardInfo['values'] = {};
  for (const field of RIG_FIELDS) if (card[field] !== undefined) values[field] = card[field];
  return { name: card.name, ...(card.cameraModel === undefined ? {} : { cameraModel: card.cameraModel }), values };
}
