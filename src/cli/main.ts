import { startAnalysisAhead } from '../io/analysis-thread.js';
import { listenForInterrupts } from './interrupts.js';

/**
 * Runs one command line.
 * @param argv the words after the program's name
 * @returns the exit status: 0 keep, 1 frames missing, 2 undecided, 3 could not run, 130 interrupted
 */
export async function main(argv: readonly string[]): Promise<number> {
  const interrupts = listenForInterrupts();
  // Its threads come up while the rest of the program is loaded.
  if (argv[0] === 'check' && argv.length > 1) startAnalysisAhead();
  const { runCommandLine } = await import('./run-command-line.js');
  return runCommandLine(argv, interrupts);
}
