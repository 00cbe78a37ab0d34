import path from 'node:path';
import type { Command } from 'commander';
import { UserError } from '../../contract/errors.js';
import type { RailReport } from '../../contract/rail.js';
import { analyseRail } from '../../diagnosis/rail-analysis.js';
import { analyseFolder } from '../../io/analyse-folder.js';
import { rigCardFolder } from '../../io/find-rig-card.js';
import { usableName } from '../../io/rig-card-store.js';
import { checkTarget, writeFileSafely } from '../../io/write-file-safely.js';
import { frameLabels } from '../../optics/frame-labels.js';
import type { RigValues } from '../../pipeline/analyse-request.js';
import { wantsColour, type CommandContext } from '../command-context.js';
import { exitStatus } from '../exit-status.js';
import { addCacheOption, AS_USUAL } from '../judge-options.js';
import { numberOption } from '../number-option.js';
import { addOutputOptions, type OutputOptions } from '../output-options.js';
import { progressLine } from '../progress-line.js';
import { addRigOptions, readRig, type RigOptions } from '../rig-options.js';
import { railText } from '../text/rail-text.js';

interface RailOptions extends RigOptions, OutputOptions { commanded?: number; units?: number; tilt?: number; save?: string; cache: boolean }

const HELP = `
How to shoot such a stack:
  1. Take a flat target with fine, even texture: a cut stone, printed paper,
     the field of a coin.
  2. Tilt it by 30 to 45 degrees, so that its depth runs through the whole
     picture. Set the tilt with a wedge or a gauge and give it with --tilt:
     lengths then come from the picture itself, and neither aperture nor pupil
     ratio matters. Without --tilt they come from the optics.
  3. Before the camera moves towards the target, look from the side how much
     room is left.
  4. Shoot 20 frames or more in even moves of 0.4 to 0.8 DOF (rungwise plan
     says what a DOF is), all one way. For the slack on reversal, turn back
     half-way. For a screw's regular error shoot 40 or more.
  5. Change nothing meanwhile, delete nothing, and keep the files' numbers:
     frames count in the order they were shot. One that is missing is noticed
     by its number.

Examples:
  Lengths from the optics; two units of a 10-µm rail each time:
    rungwise rail target/ --magnification 5 --aperture 2.8 --pixel-pitch 3.9 \\
      --units 2 --rail-unit 10
  Lengths from the tilt; the measured unit goes to a rig card:
    rungwise rail target/ --magnification 5 --pixel-pitch 3.9 --tilt 35 \\
      --units 2 --save "Bench, 5x"

Exit status: 0 measured, 2 cannot tell, 3 could not run.
`;

/** `rungwise rail FOLDER` */
export function registerRail(program: Command, context: CommandContext): void {
  const command = program.command('rail').argument('<folder>', 'a stack of a flat, tilted target, shot in even moves')
    .summary('what a rail really does: its step, scatter and slack')
    .description('Measures what a rail really does, from a stack of a flat, tilted target: its step, scatter, slack, drift and the screw’s regular error.');
  addRigOptions(command).optionsGroup('What is asked:')
    .option('--commanded <UM>', 'what the rail was told to move from frame to frame, in µm', numberOption('--commanded', { min: 0.01, max: 100_000, what: 'Move', unit: 'µm', example: '20' }))
    .option('--units <N>', 'rail units moved from frame to frame', numberOption('--units', { min: 0.001, max: 100_000, what: 'Units', unit: '', example: '2' }))
    .option('--tilt <DEG>', 'angle of the target against a plane square to the lens, in degrees', numberOption('--tilt', { min: 1, max: 85, what: 'Tilt', unit: '°', example: '35' }));
  addCacheOption(command);
  addOutputOptions(command, 'write the result as JSON; - is standard output', 'rail.json')
    .option('--save <NAME>', 'save the set-up with the measured rail unit as a rig card of that name')
    .addHelpText('after', HELP).action((folder: string, options: RailOptions) => runRail(path.resolve(folder), options, context));
}

async function runRail(folder: string, options: RailOptions, context: CommandContext): Promise<void> {
  if (options.save !== undefined) usableName(options.save);
  if (options.save !== undefined && options.units === undefined) throw new UserError('--save needs to know how many rail units each frame was moved.', 'Add --units, such as --units 2.');
  const { values: rig } = await readRig(options, folder);
  const toStdout = options.json === '-';
  if (options.json !== undefined && !toStdout) await checkTarget(options.json, folder);
  const progress = progressLine(context.stderr, options.quiet === true);
  try {
    const report = await analyseFolder(folder, { rig, ...AS_USUAL, cache: options.cache, signal: context.signal, onProgress: progress.show });
    progress.clear();
    const told = options.units !== undefined && rig.railUnitUm !== undefined ? options.units * rig.railUnitUm.value : null;
    const rail = analyseRail(report, { commandedUm: options.commanded ?? told, unitsPerFrame: options.units ?? null, tiltDeg: options.tilt ?? null });
    const json = `${JSON.stringify(rail, null, 1)}\n`;
    if (toStdout) context.stdout.write(json);
    else if (options.json !== undefined) await writeFileSafely(options.json, json, folder);
    if (options.quiet !== true && !toStdout) {
      context.stdout.write(railText(rail, frameLabels(report.stack.frames.map((frame) => frame.file)), { columns: Math.min(context.stdout.columns, 100), colour: wantsColour(context.stdout, context.env) }));
    }
    if (options.save !== undefined) await save(options.save, rig, rail, options.quiet === true || toStdout ? null : context);
    context.setExitCode(rail.measuredUm === null ? exitStatus.undecided : exitStatus.keep);
  } finally {
    progress.clear();
  }
}

async function save(name: string, rig: RigValues, rail: RailReport, context: CommandContext | null): Promise<void> {
  if (rail.railUnitUm === null) { context?.stdout.write('\nNothing was saved: the length of a rail unit could not be told.\n'); return; }
  const known = Object.fromEntries(Object.entries(rig).map(([key, value]) => [key, value.value]));
  await rigCardFolder().save({ name, values: { ...known, railUnitUm: Number(rail.railUnitUm.toPrecision(5)) } });
  context?.stdout.write(`\nSaved as rig card "${name}": use it with --rig "${name}".\n`);
}
