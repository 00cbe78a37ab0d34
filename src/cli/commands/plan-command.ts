import type { Command } from 'commander';
import { UserError } from '../../contract/errors.js';
import type { PlanRequest } from '../../contract/plan.js';
import { writeFileSafely } from '../../io/write-file-safely.js';
import { listed } from '../../optics/listed.js';
import { makePlan } from '../../optics/make-plan.js';
import type { RigValue, RigValues } from '../../pipeline/analyse-request.js';
import { wantsColour, type CommandContext } from '../command-context.js';
import { addJudgeOptions, type JudgeOptions } from '../judge-options.js';
import { numberOption } from '../number-option.js';
import { addOutputOptions, type OutputOptions } from '../output-options.js';
import { addRigOptions, flagOf, readRig, type RigOptions } from '../rig-options.js';
import { planText } from '../text/plan-text.js';

interface PlanOptions extends RigOptions, JudgeOptions, OutputOptions { depthUm?: number; frameWidth?: number }

const EXAMPLES = `
Examples:
  How many frames for a crystal 0.9 mm deep:
    rungwise plan --magnification 5 --aperture 2.8 --pixel-pitch 3.9 \\
      --depth-um 900
  In units of the rail, with the room left before the lens:
    rungwise plan --rig "Bench, 5x" --depth-um 900 --rail-unit 5 \\
      --working-distance 42
  For a picture 2000 pixels wide, from frames 6000 wide:
    rungwise plan --rig "Bench, 5x" --depth-um 900 --output-width 2000 \\
      --frame-width 6000

Exit status: 0 planned, 3 could not plan.
`;

/** Of the set-up; each with a value to show. */
const NEEDED = ['magnification', 'fNumber', 'pixelPitchUm'] as const;
const SUCH_AS: Record<string, string> = { '--depth-um': '900', '--magnification': '5', '--aperture': '2.8', '--pixel-pitch': '3.9' };

/** Before shooting: step, frame count and what other apertures would mean. */
export function registerPlan(program: Command, context: CommandContext): void {
  const command = program.command('plan')
    .summary('before shooting: step, frame count, and what other apertures would cost')
    .description('Before shooting: how far apart the frames must be, how many, and what other apertures would cost.');
  addRigOptions(command).optionsGroup('What is asked:')
    .option('--depth-um <UM>', 'depth of the subject to cover, in µm', numberOption('--depth-um', { min: 0, max: 1_000_000, what: 'Depth', unit: 'µm', example: '900' }));
  addJudgeOptions(command, 'overlap of neighbouring frames, as a share of the DOF')
    .option('--frame-width <PX>', 'width of your frames, needed with --output-width', numberOption('--frame-width', { min: 16, max: 100_000, what: 'Frame width', unit: 'px', example: '6000' }, true));
  addOutputOptions(command, 'write the plan as JSON; - is standard output', 'plan.json')
    .addHelpText('after', EXAMPLES)
    .action((options: PlanOptions) => runPlan(options, context));
}

async function runPlan(options: PlanOptions, context: CommandContext): Promise<void> {
  const { values: rig } = await readRig(options, null);
  const plan = makePlan(requestOf(options, rig));
  for (const key of ['magnification', 'fNumber', 'pupilRatio', 'pixelPitchUm', 'wavelengthNm'] as const) plan.optics[key].source = rig[key]?.source ?? plan.optics[key].source;
  const json = `${JSON.stringify(plan, null, 1)}\n`;
  if (options.json === '-') { context.stdout.write(json); return; }
  if (options.json !== undefined) await writeFileSafely(options.json, json, null);
  if (options.quiet !== true) context.stdout.write(planText(plan, { columns: Math.min(context.stdout.columns, 100), colour: wantsColour(context.stdout, context.env) }));
}

function requestOf(options: PlanOptions, rig: RigValues): PlanRequest {
  const optional = (value: RigValue | undefined): number | null => value?.value ?? null;
  const { magnification, fNumber, pixelPitchUm } = rig, { depthUm } = options;
  if (depthUm === undefined || !magnification || !fNumber || !pixelPitchUm) {
    const missing = [...(depthUm === undefined ? ['--depth-um'] : []), ...NEEDED.filter((key) => rig[key] === undefined).map(flagOf)];
    throw new UserError(`A plan needs ${listed(missing)} as well.`, `Such as: rungwise plan ${missing.map((flag) => `${flag} ${SUCH_AS[flag]}`).join(' ')}${missing.length < 4 ? ' …' : ''}. A rig card (--rig) can hold all but the depth.`);
  }
  return {
    magnification: magnification.value,
    fNumber: fNumber.value,
    pixelPitchUm: pixelPitchUm.value,
    pupilRatio: optional(rig.pupilRatio),
    wavelengthNm: optional(rig.wavelengthNm),
    railUnitUm: optional(rig.railUnitUm),
    workingDistanceMm: optional(rig.workingDistanceMm),
    depthUm,
    overlap: options.overlap,
    frameWidthPx: options.frameWidth ?? null,
    outputWidthPx: options.outputWidth ?? null,
  };
}
