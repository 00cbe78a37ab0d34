import type { RailReport } from '../../src/contract/rail.js';
import { percent, plain, THIN, um } from './numbers.js';

/** The unit stands once, behind both: "42 ± 2 µm". */
function within(value: number, sigma: number | null): string {
  const [figure, unit] = um(value).split(THIN);
  return sigma === null ? um(value) : `${figure} ± ${plain(unit === 'mm' ? sigma / 1000 : sigma, unit === 'mm' ? 2 : value < 20 ? 1 : 0)}${THIN}${unit}`;
}

/** What the rail did, as a headline. */
export function railHeadline(rail: RailReport): string {
  if (rail.measuredUm === null) return rail.measuredDof === null ? 'Cannot tell what the rail did.' : `The rail makes ${plain(rail.measuredDof, 2)} DOF a step; its length in µm is not known.`;
  if (rail.commandedUm === null) return `The rail makes ${um(rail.measuredUm)} a step.`;
  // What lies within two sigma is not called short or long.
  const off = rail.measuredUm / rail.commandedUm - 1, unseen = Math.max(0.005, (2 * (rail.measuredSigmaUm ?? 0)) / rail.commandedUm);
  return `The rail makes ${um(rail.measuredUm)} where ${um(rail.commandedUm)} ${rail.commandedUm === 1 ? 'was' : 'were'} commanded${Math.abs(off) < unseen ? '' : `: ${percent(Math.abs(off))} ${off < 0 ? 'short' : 'long'}`}.`;
}

/** Figures with what they mean, in the order of their use. */
export function railFigures(rail: RailReport, labels: readonly string[]): { name: string; value: string; meaning: string }[] {
  if (rail.measuredUm === null) return [];
  const { slackUm, slackAt, slackSigmaUm, periodic } = rail;
  const seen = slackUm !== null && slackUm > 2 * (slackSigmaUm ?? 0);
  const drifts = rail.driftSigma !== null && Math.abs(rail.drift) > 2 * rail.driftSigma;
  return [
    { name: 'Real step', value: within(rail.measuredUm, rail.measuredSigmaUm), meaning: rail.scaleFrom === 'tilt' ? 'by the target’s tilt' : 'by the optics of the rig card' },
    ...(rail.railUnitUm === null ? [] : [{ name: 'Rail unit', value: um(rail.railUnitUm), meaning: 'what one unit really moves' }]),
    { name: 'Scatter', value: rail.scatterUm === null ? '–' : um(rail.scatterUm), meaning: rail.measurementUm === null ? 'from step to step' : `from step to step; ${rail.measurementUm < 0.05 ? 'next to nothing' : um(rail.measurementUm)} of it may be the measurement` },
    { name: 'Slack', value: slackUm === null ? 'not told' : seen ? within(slackUm, slackSigmaUm) : 'none seen', meaning: slackAt === 'turn' ? 'where the stack turns back' : 'at the start of the stack' },
    drifts ? { name: 'Drift', value: percent(Math.abs(rail.drift)), meaning: `steps get ${rail.drift < 0 ? 'shorter' : 'longer'} along the way` } : { name: 'Drift', value: 'none seen', meaning: 'from the first step to the last' },
    ...(periodic ? [{ name: 'Screw', value: um(periodic.amplitudeUm), meaning: `to and fro, every ${um(periodic.periodUm)}` }] : []),
    ...rail.slips.map(({ afterFrame, um: jump }) => ({ name: 'Slip', value: um(Math.abs(jump)), meaning: `after ${labels[afterFrame]}` })),
    ...rail.missing.map(({ afterFrame, count, moved }) => ({ name: 'Not there', value: `${count} ${count === 1 ? 'frame' : 'frames'}`, meaning: `after ${labels[afterFrame]}, by the file numbers; the rail ${moved ? 'moved on for them' : 'did not move for them'}` })),
    ...(rail.flatnessUm === null ? [] : [{ name: 'Target', value: um(rail.flatnessUm), meaning: 'from a plane' }]),
  ];
}
