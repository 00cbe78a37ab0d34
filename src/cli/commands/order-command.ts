import path from 'node:path';
import type { Command } from 'commander';
import { UserError } from '../../contract/errors.js';
import { ORDER_SCHEMA, type OrderReport } from '../../contract/order.js';
import type { FrameFlag, Report } from '../../contract/report.js';
import { analyseFolder } from '../../io/analyse-folder.js';
import { checkOrderTarget, ORDER_LIST, orderCopy, type OrderResult } from '../../io/order-copy.js';
import { checkTarget, writeFileSafely } from '../../io/write-file-safely.js';
import type { CommandContext } from '../command-context.js';
import { addCacheOption, AS_USUAL } from '../judge-options.js';
import { fileOption } from '../number-option.js';
import { addOutputOptions, type OutputOptions } from '../output-options.js';
import { progressLine } from '../progress-line.js';
import { addRigOptions, readRig, type RigOptions } from '../rig-options.js';
import { countText } from '../../optics/number-text.js';
import { wrapText } from '../text/wrap-text.js';

interface OrderOptions extends RigOptions, OutputOptions { to: string; withoutBlurred?: true; withoutRepeats?: true; cache: boolean }

const EXAMPLES = `
Examples:
  All frames, for any program that merges them:
    rungwise order shots/ --to ordered/
  Only those that help:
    rungwise order shots/ --to ordered/ --without-blurred --without-repeats
  For a script, what was copied as which number:
    rungwise order shots/ --to ordered/ --json -

All frames are copied or none: nothing is left behind when it is stopped.

Exit status: 0 copied, 3 could not run.
`;

/** `rungwise order FOLDER --to DIR` */
export function registerOrder(program: Command, context: CommandContext): void {
  const command = program.command('order').argument('<folder>', 'the folder that holds the frames of one stack')
    .summary('copy the frames, numbered in depth order, to a new folder')
    .description(`Finds the order of the frames along the depth axis and copies them, numbered, to a new folder, with a list (${ORDER_LIST}). The originals are only read.`);
  addRigOptions(command).optionsGroup('What is asked:')
    .requiredOption('--to <DIR>', 'a new or an empty folder for the copies', fileOption('--to', 'ordered'))
    .option('--without-blurred', 'leave blurred frames out')
    .option('--without-repeats', 'leave out frames that repeat a depth');
  addCacheOption(command);
  addOutputOptions(command, 'write what was copied as JSON; - is standard output', 'order.json')
    .addHelpText('after', EXAMPLES)
    .action((folder: string, options: OrderOptions) => runOrder(path.resolve(folder), options, context));
}

async function runOrder(folder: string, options: OrderOptions, context: CommandContext): Promise<void> {
  await checkOrderTarget(options.to, folder);
  const toStdout = options.json === '-';
  if (options.json !== undefined && !toStdout) await checkTarget(options.json, folder);
  const { values: rig } = await readRig(options, folder);
  const progress = progressLine(context.stderr, options.quiet === true);
  try {
    const report = await analyseFolder(folder, { rig, ...AS_USUAL, cache: options.cache, signal: context.signal, onProgress: progress.show });
    progress.clear();
    if (report.stack.frames.every((frame) => frame.positionDof === null)) {
      throw new UserError('The order could not be found: too little detail was measured.', 'Run rungwise check on the folder, which says what would help.');
    }
    const leaveOut: FrameFlag[] = [...(options.withoutBlurred ? ['blurred' as const] : []), ...(options.withoutRepeats ? ['repeat' as const] : [])];
    const result = await orderCopy(report, options.to, { leaveOut, signal: context.signal });
    const json = `${JSON.stringify(orderReport(report, result), null, 1)}\n`;
    if (toStdout) context.stdout.write(json);
    else if (options.json !== undefined) await writeFileSafely(options.json, json, folder);
    if (!options.quiet && !toStdout) for (const line of orderLines(result, report.stack.direction === 'unknown')) context.stdout.write(wrapText(line, Math.min(context.stdout.columns, 100)).join('\n') + '\n');
  } finally {
    progress.clear();
  }
}

function orderReport({ stack }: Report, { folder, copied, leftOut }: OrderResult): OrderReport {
  return {
    schema: ORDER_SCHEMA, from: stack.folder, folder, first: stack.direction === 'unknown' ? 'unknown' : 'near',
    copied: copied.map(({ file, index }, k) => ({ number: k + 1, file, original: stack.frames[index].file, positionDof: stack.frames[index].positionDof, positionUm: stack.frames[index].positionUm })),
    leftOut,
  };
}

function orderLines(result: OrderResult, directionUnknown: boolean): string[] {
  const way = directionUnknown ? 'from one end to the other (the pictures don’t show which end was near)' : 'from near to far';
  const lines = [`${countText(result.copied.length, 'frame')} copied to ${result.folder}, numbered ${way}; ${ORDER_LIST} lists them.`];
  if (result.leftOut.length > 0) lines.push(`Left out: ${result.leftOut.map(({ file, why }) => `${file} (${why})`).join(', ')}.`);
  return lines;
}
