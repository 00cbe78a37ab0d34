import type { Command } from 'commander';
import { UserError } from '../../contract/errors.js';
import type { PlanRequest } from '../../contract/plan.js';
import { writeFileSafely } from '../../io/write-file-safely.js';
import { makePlan } from '../../optics/make-plan.js';
import type { RigValue, RigValues } from '../../pipeline/analyse-request.js';
import { wantsColour, type CommandContext } from '../command-context.js';
import { fileOption, numberOption } from '../number-option.js';
import { addRigOptions, flagOf, readRigValues, type RigOptions } from '../rig-options.js';
import { planText } from '../text/plan-text.js';

interface PlanOptions extends RigOptions {
  depthUm: number;
  overlap: number;
  frameWidth?: number;
  outputWidth?: number;
  json?: string;
  quiet?: boolean;
}

/** Before shooting: step, frame count and what other apertures would mean. */
export function registerPlan(program: Command, context: CommandContext): void {
  const command = program.command('plan')
    .description('Before shooting: how far apart the frames must be, how many, and what other apertures would cost.')
    .requiredOption('--depth-um <UM>', 'depth of the subject to cover, in µm', numberOption('--depth-um', { min: 0, max: 1_000_000, what: 'Depth', unit: 'µm', example: '900' }))
    .option('--overlap <SHARE>', 'overlap of neighbouring frames, as a share of the DOF', numberOption('--overlap', { min: 0, max: 0.9, what: 'Overlap', unit: '', example: '0.3' }), 0.3)
    .option('--output-width <PX>', 'judge sharpness at this width of the final picture', numberOption('--output-width', { min: 16, max: 100_000, what: 'Output width', unit: 'px', example: '2000' }, true))
    .option('--frame-width <PX>', 'width of your frames, needed with --output-width', numberOption('--frame-width', { min: 16, max: 100_000, what: 'Frame width', unit: 'px', example: '6000' }, true))
    .option('--json <FILE>', 'write the plan as JSON; - is standard output', jsonTarget)
    .option('--quiet', 'print nothing where all is well');
  addRigOptions(command)
    .addHelpText('after', '\nExample:\n  rungwise plan --magnification 5 --aperture 2.8 --pixel-pitch 3.9 --depth-um 900 --rail-unit 5 --working-distance 42\n')
    .action(async (options: PlanOptions) => {
      const rig = await readRigValues(options);
      const plan = makePlan(requestOf(options, rig));
      for (const key of ['magnification', 'fNumber', 'pupilRatio', 'pixelPitchUm', 'wavelengthNm'] as const) plan.optics[key].source = rig[key]?.source ?? plan.optics[key].source;
      const json = `${JSON.stringify(plan, null, 1)}\n`;
      if (options.json === '-') { context.stdout.write(json); return; }
      if (options.json !== undefined) await writeFileSafely(options.json, json, null);
      if (options.quiet !== true) context.stdout.write(planText(plan, { columns: Math.min(context.stdout.columns, 100), colour: wantsColour(context.stdout, context.env) }));
    });
}

const jsonTarget = (text: string): string => (text === '-' ? text : fileOption('--json', 'plan.json')(text));

function requestOf(options: PlanOptions, rig: RigValues): PlanRequest {
  const optional = (value: RigValue | undefined): number | null => value?.value ?? null;
  const needed = (key: 'magnification' | 'fNumber' | 'pixelPitchUm', why: string): number => {
    const value = rig[key];
    if (value === undefined) throw new UserError(`A plan needs ${why}.`, `Give ${flagOf(key)}, or a rig card with --rig.`);
    return value.value;
  };
  return {
    magnification: needed('magnification', 'the magnification'),
    fNumber: needed('fNumber', 'the marked aperture'),
    pixelPitchUm: needed('pixelPitchUm', 'the distance between pixels'),
    pupilRatio: optional(rig.pupilRatio),
    wavelengthNm: optional(rig.wavelengthNm),
    railUnitUm: optional(rig.railUnitUm),
    workingDistanceMm: optional(rig.workingDistanceMm),
    depthUm: options.depthUm,
    overlap: options.overlap,
    frameWidthPx: options.frameWidth ?? null,
    outputWidthPx: options.outputWidth ?? null,
  };
}
