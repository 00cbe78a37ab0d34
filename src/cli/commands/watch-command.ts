import path from 'node:path';
import type { Command } from 'commander';
import type { WatchEvent } from '../../contract/host.js';
import type { PickedRig } from '../../io/watch-folder.js';
import { checkHandOver, handOver } from '../../io/hand-over.js';
import { checkTarget, writeFileSafely } from '../../io/write-file-safely.js';
import { verdictHeadline } from '../../optics/verdict-headline.js';
import { watchAdvice } from '../../optics/watch-advice.js';
import { railKnowledge } from '../../pipeline/rail-knowledge.js';
import { wantsColour, type CommandContext } from '../command-context.js';
import { exitStatus, statusOfDecision } from '../exit-status.js';
import { addJudgeOptions, type JudgeOptions } from '../judge-options.js';
import { numberOption } from '../number-option.js';
import { addOutputOptions, type OutputOptions } from '../output-options.js';
import { addRigOptions, readRig, type RigOptions } from '../rig-options.js';
import { reportText } from '../text/report-text.js';
import { painted, type TextStyle } from '../text/text-style.js';
import { wrapText } from '../text/wrap-text.js';

interface WatchOptions extends RigOptions, JudgeOptions, OutputOptions { frames?: number; untilQuiet?: number; polling?: true; sound?: true }

const EXAMPLES = `
Examples:
  A word after every frame; Ctrl-C ends it:
    rungwise watch incoming/ --magnification 5 --aperture 2.8
  Stop after 40 frames and check the whole:
    rungwise watch incoming/ --frames 40 --report stack.html
  A network drive (where no word of new frames comes, this is found out and
  done by itself a little later):
    rungwise watch /mnt/camera/incoming --polling
  For a script, a line of JSON a frame:
    rungwise watch incoming/ --until-quiet 60 --json -

What it says after a frame:
  Go on.           the step overlaps well
  Shorter steps.   the two frames only just meet
  Go back.         a depth was missed between the two
  Again.           the frame is blurred
  Cannot tell.     too little was in focus to measure the step

Before the camera moves towards the subject, look from the side how much
room is left.

Where watching ends by itself (--frames, --until-quiet), the whole stack is
checked and the exit status is that of check. Ctrl-C ends with 130.
`;

const TOGETHER_MS = 400;

/** `rungwise watch FOLDER` */
export function registerWatch(program: Command, context: CommandContext): void {
  const command = program.command('watch').argument('<folder>', 'the folder that fills while the stack is shot')
    .summary('while shooting: a word after every frame, as it arrives')
    .description('Watches a folder that fills while a stack is shot: places each frame as it arrives and says whether to go on, go back or take shorter steps. The folder is only read.');
  addRigOptions(command).optionsGroup('What is asked:');
  addJudgeOptions(command, 'overlap that the top-up brings every step back to')
    .option('--frames <N>', 'stop when this many frames are there', numberOption('--frames', { min: 2, max: 10_000, what: 'Frames', unit: '', example: '40' }, true))
    .option('--until-quiet <SECONDS>', 'stop when no frame has come for this long', numberOption('--until-quiet', { min: 1, max: 86_400, what: 'Time', unit: '', example: '60' }))
    .option('--polling', 'look again and again instead of waiting for the system’s word (network drives)');
  addOutputOptions(command, 'write the last report as JSON; - writes a line of JSON a frame to standard output', 'report.json', true)
    .option('--sound', 'ring the terminal’s bell: once for thin, twice for a gap')
    .addHelpText('after', EXAMPLES)
    .action((folder: string, options: WatchOptions) => runWatch(path.resolve(folder), options, context));
}

async function runWatch(folder: string, options: WatchOptions, context: CommandContext): Promise<void> {
  const lines = options.json === '-';
  if (options.json !== undefined && !lines) await checkTarget(options.json, folder);
  if (options.report !== undefined) await checkHandOver(options.report, folder);
  // A card that is named must be there from the start; one that fits the camera is looked for once a frame tells which camera it is.
  let reading = await readRig(options, null);
  const pickRig = async (): Promise<PickedRig> => {
    reading = await readRig(options, folder);
    return { rig: reading.values, card: reading.card };
  };
  const style: TextStyle = { columns: Math.min(context.stdout.columns, 100), colour: wantsColour(context.stdout, context.env) };
  // What all frames say together is said at once while shooting pauses, but not just before the whole report says it.
  let together: NodeJS.Timeout | undefined;
  const show = (event: WatchEvent): void => {
    clearTimeout(together);
    if (!lines && event.kind === 'report' && event.newest === null) {
      if (options.quiet !== true) together = setTimeout(() => context.stdout.write(spoken(event, style)), TOGETHER_MS);
      return;
    }
    if (lines) context.stdout.write(`${JSON.stringify(lineOf(event))}\n`);
    else if (options.quiet !== true) context.stdout.write(spoken(event, style));
    if (options.sound && event.kind === 'report') context.stderr.write({ good: '', thin: '\x07', gap: '\x07\x07' }[watchAdvice(event.report, event.newest).sound ?? 'good']);
  };
  // Loaded only here: the watcher brings the whole engine into this thread.
  const { watchFolder } = await import('../../io/watch-folder.js');
  const report = await watchFolder(folder, {
    rig: reading.values, pickRig, overlap: options.overlap, outputWidthPx: options.outputWidth ?? null, polling: options.polling === true,
    ...(options.frames === undefined ? {} : { stopAtFrames: options.frames }), ...(options.untilQuiet === undefined ? {} : { stopAfterQuietMs: options.untilQuiet * 1000 }),
  }, show, context.signal).finally(() => clearTimeout(together));
  if (context.signal.aborted) return;
  if (report === null) {
    if (options.quiet !== true && !lines) context.stdout.write('\nFewer than two frames came: there is nothing to judge.\n');
    context.setExitCode(exitStatus.undecided);
    return;
  }
  if (options.json !== undefined && !lines) await writeFileSafely(options.json, `${JSON.stringify(report)}\n`, folder);
  if (options.report !== undefined) await handOver(report, options.report, { rail: railKnowledge(reading.values), profile: null }, folder, context.signal);
  if (options.quiet !== true && !lines) context.stdout.write(`\n${reportText(report, railKnowledge(reading.values), style)}`);
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
  if (event.newest === null) return `${wrapText(`All frames so far, looked at together: ${verdictHeadline(event.report)}`, style.columns).join('\n')}\n`;
  const { word, figure, line, caution } = watchAdvice(event.report, event.newest);
  return [painted([word, figure].filter((part) => part !== '').join('  '), 'bold', style), ...wrapText(line, style.columns, '  '), ...(caution === null ? [] : wrapText(caution, style.columns, '    ', '  ! '))].join('\n') + '\n';
}
