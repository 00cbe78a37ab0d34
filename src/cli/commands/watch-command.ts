import path from 'node:path';
import type { Command } from 'commander';
import type { WatchEvent } from '../../contract/host.js';
import { watchFolder } from '../../io/watch-folder.js';
import { checkTarget, writeFileSafely } from '../../io/write-file-safely.js';
import { watchAdvice } from '../../optics/watch-advice.js';
import { wantsColour, type CommandContext } from '../command-context.js';
import { exitStatus, statusOfDecision } from '../exit-status.js';
import { fileOption, numberOption } from '../number-option.js';
import { addRigOptions, readRigValues, type RigOptions } from '../rig-options.js';
import { reportText } from '../text/report-text.js';
import { painted, type TextStyle } from '../text/text-style.js';
import { wrapText } from '../text/wrap-text.js';

interface WatchOptions extends RigOptions { overlap: number; frames?: number; untilQuiet?: number; polling?: true; sound?: true; json?: string; quiet?: true }

const EXAMPLES = `
Examples:
  rungwise watch incoming/ --magnification 5 --aperture 2.8      a word after every frame; Ctrl-C ends it
  rungwise watch incoming/ --frames 40                           stop after 40 frames, and check the whole
  rungwise watch //server/share/incoming --polling               a network drive
  rungwise watch incoming/ --until-quiet 60 --json -             one line of JSON a frame, for a script

Where watching ends by itself, the whole stack is checked and the exit status is that of check.
`;

/** `rungwise watch FOLDER` */
export function registerWatch(program: Command, context: CommandContext): void {
  const command = program.command('watch').argument('<folder>', 'the folder that fills while the stack is shot')
    .summary('the same, live, as frames arrive')
    .description('Watches a folder that fills while a stack is shot: places each frame as it arrives and says whether to go on, go back or take shorter steps. The folder is only read.');
  addRigOptions(command)
    .optionsGroup('What is asked:')
    .option('--overlap <SHARE>', 'overlap that the top-up brings every step back to', numberOption('--overlap', { min: 0, max: 0.9, what: 'Overlap', unit: '', example: '0.3' }), 0.3)
    .option('--frames <N>', 'stop when this many frames are there', numberOption('--frames', { min: 2, max: 10_000, what: 'Frames', unit: '', example: '40' }, true))
    .option('--until-quiet <SECONDS>', 'stop when no frame has come for this long', numberOption('--until-quiet', { min: 1, max: 86_400, what: 'Time', unit: '', example: '60' }))
    .option('--polling', 'look again and again instead of waiting for the system’s word (network drives)')
    .optionsGroup('What comes out:')
    .option('--sound', 'ring the terminal’s bell: once for thin, twice for a gap')
    .option('--json <FILE>', 'write the last report as JSON; - writes a line of JSON a frame to standard output', (text) => (text === '-' ? text : fileOption('--json', 'report.json')(text)))
    .option('--quiet', 'print nothing but failures')
    .addHelpText('after', EXAMPLES)
    .action((folder: string, options: WatchOptions) => runWatch(path.resolve(folder), options, context));
}

async function runWatch(folder: string, options: WatchOptions, context: CommandContext): Promise<void> {
  const rig = await readRigValues(options);
  const lines = options.json === '-';
  if (options.json !== undefined && !lines) await checkTarget(options.json, folder);
  const style: TextStyle = { columns: Math.min(context.stdout.columns, 100), colour: wantsColour(context.stdout, context.env) };
  const show = (event: WatchEvent): void => {
    if (lines) context.stdout.write(`${JSON.stringify(lineOf(event))}\n`);
    else if (options.quiet !== true) context.stdout.write(spoken(event, style));
    if (options.sound && event.kind === 'report') context.stderr.write({ good: '', thin: '\x07', gap: '\x07\x07' }[watchAdvice(event.report, event.newest).sound ?? 'good']);
  };
  const report = await watchFolder(folder, {
    rig, overlap: options.overlap, outputWidthPx: null, polling: options.polling === true,
    ...(options.frames === undefined ? {} : { stopAtFrames: options.frames }), ...(options.untilQuiet === undefined ? {} : { stopAfterQuietMs: options.untilQuiet * 1000 }),
  }, show, context.signal);
  if (context.signal.aborted) return;
  if (report === null) { context.setExitCode(exitStatus.undecided); return; }
  if (options.json !== undefined && !lines) await writeFileSafely(options.json, `${JSON.stringify(report)}\n`, folder);
  const rail = { railUnitUm: rig.railUnitUm?.value ?? null, workingDistanceMm: rig.workingDistanceMm?.value ?? null };
  if (options.quiet !== true && !lines) context.stdout.write(`\n${reportText(report, rail, style)}`);
  context.setExitCode(statusOfDecision(report.verdict.decision));
}

/** What a script wants of each frame; the whole report would be a megabyte a line. */
function lineOf(event: WatchEvent): object {
  if (event.kind === 'waiting') return { kind: 'waiting', frames: event.frames, message: event.message };
  const { frames } = event.report.stack;
  const index = frames.findIndex((frame) => frame.file === event.newest);
  const names = (i: number): string => frames[i].file;
  const steps = event.report.steps.filter((step) => step.from === index || step.to === index)
    .map((step) => ({ ...step, from: names(step.from), to: names(step.to) }));
  const { word, figure, line, caution } = watchAdvice(event.report, event.newest);
  return { kind: 'frame', newest: event.newest, frames: frames.length, frame: frames[index] ?? null, steps, word, figure, line, caution, decision: event.report.verdict.decision };
}

function spoken(event: WatchEvent, style: TextStyle): string {
  if (event.kind === 'waiting') return `${event.message}\n`;
  if (event.newest === null) return '';
  const { word, figure, line, caution } = watchAdvice(event.report, event.newest);
  return [painted([word, figure].filter((part) => part !== '').join('  '), 'bold', style), ...wrapText(line, style.columns, '  '), ...(caution === null ? [] : wrapText(caution, style.columns, '    ', '  ! '))].join('\n') + '\n';
}
