import path from 'node:path';
import type { Command } from 'commander';
import { analyseFolder } from '../../io/analyse-folder.js';
import { checkHandOver, handOver } from '../../io/hand-over.js';
import type { Limit } from '../../io/rig-limits.js';
import { checkTarget, writeFileSafely } from '../../io/write-file-safely.js';
import { wantsColour, type CommandContext } from '../command-context.js';
import { statusOfDecision } from '../exit-status.js';
import { fileOption, numberOption } from '../number-option.js';
import { progressLine } from '../progress-line.js';
import { addRigOptions, readRigValues, type RigOptions } from '../rig-options.js';
import { reportText } from '../text/report-text.js';

export interface CheckOptions extends RigOptions { overlap: number; outputWidth?: number; json?: string; report?: string; quiet?: true; cache: boolean }

const OVERLAP: Limit = { min: 0, max: 0.9, what: 'Overlap', unit: '', example: '0.3' };
const OUTPUT_WIDTH: Limit = { min: 200, max: 100_000, what: 'Output width', unit: 'pixels', example: '2000' };

const EXAMPLES = `
Examples:
  rungwise check shots/                                          verdict in depths of field, nothing known of the lens
  rungwise check shots/ --magnification 5 --aperture 2.8         the same in µm
  rungwise check shots/ --rig bench.rig.json                     the set-up from a saved rig card
  rungwise check shots/ --overlap 0.4                            ask for more overlap in the top-up
  rungwise check shots/ --output-width 2000                      judge sharpness for a picture 2000 pixels wide
  rungwise check shots/ --report stack.html                      a page to keep or print (.pdf, .csv and .tif work too)
  rungwise check shots/ --json - --quiet                         the report for a script

Exit status: 0 keep, 1 frames missing (top up or shoot again), 2 cannot tell, 3 could not run.
The folder is only read. µm need --magnification and --aperture: a manual lens writes no aperture into its files.
`;

/** `rungwise check FOLDER` */
export function registerCheck(program: Command, context: CommandContext): void {
  const command = program.command('check').argument('<folder>', 'the folder that holds the frames of one stack')
    .summary('analyse a stack, print the verdict, exit with it')
    .description('Measures where each frame was focused, where consecutive frames fail to overlap on the subject, and says: keep, top up, shoot again, or cannot tell.');
  addRigOptions(command)
    .optionsGroup('What is asked:')
    .option('--overlap <SHARE>', 'overlap that the top-up brings every step back to', numberOption('--overlap', OVERLAP), 0.3)
    .option('--output-width <PX>', 'judge sharpness at this width of the final picture', numberOption('--output-width', OUTPUT_WIDTH, true))
    .optionsGroup('What comes out:')
    .option('--json <FILE>', 'write the report as JSON; - is standard output', fileOrDash('--json', 'report.json'))
    .option('--report <FILE>', 'write the report to read or print: .html, .pdf, .csv, .png or .tif', fileOption('--report', 'stack.html'))
    .option('--quiet', 'print nothing but failures')
    .option('--no-cache', 'measure every frame anew, and keep nothing for the next run')
    .addHelpText('after', EXAMPLES)
    .action((folder: string, options: CheckOptions) => runCheck(folder, options, context));
}

/** Analyses a folder and writes what was asked for; sets the exit status to the decision's. */
export async function runCheck(folder: string, options: CheckOptions, context: CommandContext): Promise<void> {
  const rig = await readRigValues(options), whole = path.resolve(folder);
  const toStdout = options.json === '-';
  if (options.json !== undefined && !toStdout) await checkTarget(options.json, whole);
  if (options.report !== undefined) await checkHandOver(options.report, whole);
  const progress = progressLine(context.stderr, options.quiet === true);
  try {
    const report = await analyseFolder(whole, { rig, overlap: options.overlap, outputWidthPx: options.outputWidth ?? null, cache: options.cache, signal: context.signal, onProgress: progress.show });
    progress.clear();
    const rail = { railUnitUm: rig.railUnitUm?.value ?? null, workingDistanceMm: rig.workingDistanceMm?.value ?? null };
    if (toStdout) context.stdout.write(`${JSON.stringify(report)}\n`);
    else if (options.json !== undefined) await writeFileSafely(options.json, `${JSON.stringify(report)}\n`, whole);
    if (options.report !== undefined) await handOver(report, options.report, rail, whole, context.signal);
    if (!options.quiet && !toStdout) context.stdout.write(reportText(report, rail, { columns: Math.min(context.stdout.columns, 100), colour: wantsColour(context.stdout, context.env) }));
    context.setExitCode(statusOfDecision(report.verdict.decision));
  } finally {
    progress.clear();
  }
}

function fileOrDash(flag: string, example: string): (text: string) => string {
  const file = fileOption(flag, example);
  return (text) => (text === '-' ? text : file(text));
}
