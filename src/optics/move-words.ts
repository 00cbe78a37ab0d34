import type { Report } from '../contract/report.js';
import { frameLabels } from './frame-labels.js';
import { lengthText } from './number-text.js';

/** Lengths along the depth axis in the words of this rail. */
export interface MoveWords {
  dofUm: number | null;
  um(dof: number): number | null;
  /** The length that `length` says, in DOF: a tenth of a unit, or a whole µm. */
  rounded(dof: number): number;
  /** "12.4 rail units (124 µm)", without a sense. */
  length(dof: number): string;
  /** The same with its sense: towards or away from the subject, or towards a frame where the direction is unknown. */
  way(dof: number): string;
}

/**
 * @param report its optics give µm, its rail the stack's usual step
 * @param railUnitUm travel of one rail unit, or null
 */
export function moveWords(report: Report, railUnitUm: number | null): MoveWords {
  const dofUm = report.optics.dofUm.value;
  const usualDof = report.rail.medianStepDof;
  const um = (dof: number): number | null => (dofUm === null ? null : dof * dofUm);
  const length = (signed: number): string => {
    const dof = Math.abs(signed);
    if (dofUm !== null && railUnitUm !== null) return `${counted((dof * dofUm) / railUnitUm, 'rail unit')} (${lengthText(dof * dofUm, 'move')})`;
    const usual = usualDof !== null && usualDof > 0 ? counted(dof / usualDof, 'usual step') : null;
    if (dofUm !== null) return usual === null ? lengthText(dof * dofUm, 'move') : `${lengthText(dof * dofUm, 'move')} (${usual} of this stack)`;
    return usual === null ? `${dof.toFixed(1)} × DOF` : `${usual} of this stack (${dof.toFixed(1)} × DOF)`;
  };
  const grainDof = dofUm === null ? 0.1 : (railUnitUm === null ? 1 : railUnitUm / 10) / dofUm;
  const rounded = (dof: number): number => Math.round(dof / grainDof) * grainDof;
  return { dofUm, um, rounded, length, way: (dof) => `${length(dof)} ${senseOf(report, dof)}` };
}

function senseOf(report: Report, dof: number): string {
  const { direction, order, frames } = report.stack;
  if (direction !== 'unknown') return dof >= 0 ? 'towards the subject' : 'away from the subject';
  const labels = frameLabels(frames.map((frame) => frame.file));
  const end = dof >= 0 ? order[order.length - 1] : order[0];
  return end === undefined ? 'along the rail' : `towards where frame ${labels[end]} was shot`;
}

function counted(count: number, noun: string): string {
  const text = count.toFixed(1).replace(/\.0$/, '');
  return `${text} ${noun}${text === '1' ? '' : 's'}`;
}
