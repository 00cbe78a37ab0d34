import { Command, CommanderError } from 'commander';
import { CancelledError } from '../contract/errors.js';
import { PROGRAM_VERSION } from '../contract/version.js';
import { terminalOf, type CommandContext } from './command-context.js';
import { commandList } from './command-list.js';
import { exitStatus } from './exit-status.js';
import { failureLine } from './failure-line.js';
import { endBySignal } from './end-by-signal.js';
import type { Interrupts } from './interrupts.js';
import { threadsEnded } from '../io/analyse-folder.js';

/** A thread that is done ends within milliseconds; Ctrl-C has a second in all. */
const THREADS_END_MS = 500;

/** @returns the exit status, as main says; the interrupts are no longer listened for */
export async function runCommandLine(argv: readonly string[], interrupts: Interrupts): Promise<number> {
  let status: number = exitStatus.keep;
  const context: CommandContext = {
    stdout: terminalOf(process.stdout),
    stderr: terminalOf(process.stderr),
    env: process.env,
    signal: interrupts.signal,
    setExitCode: (code) => { status = code; },
  };
  // A reader that has seen enough (head, a closed pager) is no fault of ours; it may show only after the last word is written.
  process.stdout.on('error', (error: NodeJS.ErrnoException) => { if (error.code !== 'EPIPE') throw error; });
  try {
    // Without a word said, the help is the answer.
    await buildProgram(context).parseAsync(argv.length === 0 ? ['--help'] : argv, { from: 'user' });
  } catch (error) {
    if (interrupts.status() === null) status = statusOfFailure(error, context);
  }
  status = interrupts.status() ?? status;
  const ended = await threadsEnded(THREADS_END_MS);
  const name = interrupts.name();
  interrupts.dispose();
  if (!ended) {
    if (name === null) context.stderr.write('rungwise: A drive still does not answer, so that the program has to be broken off. What was asked for is done.\n');
    endBySignal(name ?? 'SIGKILL', status);
  }
  return status;
}

function statusOfFailure(error: unknown, context: CommandContext): number {
  // Asked for help or the version: shown already, and no failure.
  if (error instanceof CommanderError && error.exitCode === 0) return exitStatus.keep;
  if (error instanceof CancelledError) return exitStatus.interrupted;
  context.stderr.write(failureLine(error));
  if (context.env['RUNGWISE_DEBUG'] && error instanceof Error) context.stderr.write(`${error.stack ?? ''}\n`);
  return exitStatus.couldNotRun;
}

/** The whole command line; errors are thrown instead of ending the process. */
export function buildProgram(context: CommandContext): Command {
  const program = new Command('rungwise')
    .description('Measures a focus stack from its pictures alone: is every depth of the subject sharp in some frame, and if not, what must be shot while the rig still stands?')
    .version(PROGRAM_VERSION, '--version', 'print the version')
    .helpOption('-h, --help', 'explain, with examples')
    .helpCommand('help [command]', 'explain a command')
    .showSuggestionAfterError(true)
    .exitOverride()
    .configureOutput({
      writeOut: (text) => context.stdout.write(text),
      writeErr: () => { /* failures are shown once, in one line, by main */ },
      getOutHelpWidth: () => Math.min(context.stdout.columns, 100),
      getErrHelpWidth: () => Math.min(context.stderr.columns, 100),
    })
    .addHelpText('after', '\nStart with:\n  rungwise check FOLDER        the folder that holds the frames of one stack\n');
  for (const register of commandList) register(program, context);
  return program;
}
