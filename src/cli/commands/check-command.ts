import path from 'node:path';
import type { Command } from 'commander';
import { UserError } from '../../contract/errors.js';
import { analyseFolder } from '../../io/analyse-folder.js';
import { checkHandOver, handOver } from '../../io/hand-over.js';
import { checkTarget, writeFileSafely } from '../../io/write-file-safely.js';
import type { ProfileLine } from '../../optics/depth-profile.js';
import { railKnowledge } from '../../pipeline/rail-knowledge.js';
import { wantsColour, type CommandContext } from '../command-context.js';
import { statusOfDecision } from '../exit-status.js';
import { addCacheOption, addJudgeOptions, type JudgeOptions } from '../judge-options.js';
import { addOutputOptions, type OutputOptions } from '../output-options.js';
import { profileOption } from '../profile-option.js';
import { progressLine } from '../progress-line.js';
import { addRigOptions, readRig, type RigOptions } from '../rig-options.js';
import { reportText } from '../text/report-text.js';

export interface CheckOptions extends RigOptions, JudgeOptions, OutputOptions { profile?: ProfileLine; cache: boolean }

const EXAMPLES = `
Examples:
  Nothing known of the lens, sizes in depths of field:
    rungwise check shots/
  The same in µm:
    rungwise check shots/ --magnification 5 --aperture 2.8
  The set-up from a rig card:
    rungwise check shots/ --rig "Bench, 5x"
  More overlap asked of the top-up:
    rungwise check shots/ --overlap 0.4
  Judged for a picture 2000 pixels wide:
    rungwise check shots/ --output-width 2000
  A page to keep or print:
    rungwise check shots/ --report stack.pdf
  Tables, with the depths along a line in the picture:
    rungwise check shots/ --report stack.csv --profile 100,500,1400,500
  For a script:
    rungwise check shots/ --json - --quiet

Exit status: 0 keep, 1 frames missing (top up or shoot again),
2 cannot tell, 3 could not run.

The folder is only read. µm need --magnification and --aperture: a manual
lens writes no aperture into its files.
`;

/** `rungwise check FOLDER` */
export function registerCheck(program: Command, context: CommandContext): void {
  const command = program.command('check').argument('<folder>', 'the folder that holds the frames of one stack')
    .summary('check a stack: keep, top up, shoot again, or cannot tell')
    .description('Measures where each frame was focused, where consecutive frames fail to overlap on the subject, and says: keep, top up, shoot again, or cannot tell.');
  addRigOptions(command).optionsGroup('What is asked:');
  addJudgeOptions(command, 'overlap that the top-up brings every step back to')
    .option('--profile <X1,Y1,X2,Y2>', 'with --report: the depths along this line in the picture too (pixels from the left and from the top)', profileOption);
  addCacheOption(command);
  addOutputOptions(command, 'write the report as JSON; - is standard output', 'report.json', true)
    .addHelpText('after', EXAMPLES)
    .action((folder: string, options: CheckOptions) => runCheck(folder, options, context));
}

/** Analyses a folder and writes what was asked for; sets the exit status to the decision's. */
export async function runCheck(folder: string, options: CheckOptions, context: CommandContext): Promise<void> {
  const whole = path.resolve(folder), profile = options.profile ?? null;
  const toStdout = options.json === '-';
  if (profile !== null && options.report === undefined) throw new UserError('--profile needs a place for the depths along the line.', 'Add --report, such as --report stack.csv.');
  if (options.json !== undefined && !toStdout) await checkTarget(options.json, whole);
  if (options.report !== undefined) await checkHandOver(options.report, whole);
  const { values: rig, card } = await readRig(options, whole);
  const progress = progressLine(context.stderr, options.quiet === true);
  try {
    const report = await analyseFolder(whole, { rig, overlap: options.overlap, outputWidthPx: options.outputWidth ?? null, cache: options.cache, signal: context.signal, onProgress: progress.show });
    progress.clear();
    if (card !== null) report.rigCard = card;
    if (toStdout) context.stdout.write(`${JSON.stringify(report)}\n`);
    else if (options.json !== undefined) await writeFileSafely(options.json, `${JSON.stringify(report)}\n`, whole);
    if (options.report !== undefined) await handOver(report, options.report, { rail: railKnowledge(rig), profile }, whole, context.signal);
    if (!options.quiet && !toStdout) context.stdout.write(reportText(report, railKnowledge(rig), { columns: Math.min(context.stdout.columns, 100), colour: wantsColour(context.stdout, context.env) }));
    context.setExitCode(statusOfDecision(report.verdict.decision));
  } finally {
    progress.clear();
  }
}
