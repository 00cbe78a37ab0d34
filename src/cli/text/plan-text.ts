import type { Plan, PlanAperture } from '../../contract/plan.js';
import { countText, lengthText } from '../../optics/number-text.js';
import { painted, type TextStyle } from './text-style.js';
import { wrapText } from './wrap-text.js';

/** A plan for a terminal: what to do, why, what other apertures would cost, what was assumed, what to look out for. */
export function planText(plan: Plan, style: TextStyle): string {
  const sections: [string, string[]][] = [
    [headline(plan), figures(plan, style)],
    ['Why', why(plan, style)],
    ['What other apertures would mean', apertureTable(plan, style)],
    ['The pupil ratio was not given', pupilRatio(plan, style)],
    ['Before you start', plan.cautions.flatMap((caution) => wrapText(caution, style.columns, '      ', '   !  '))],
  ];
  return sections.filter(([, lines]) => lines.length > 0)
    .map(([heading, lines]) => [...wrapText(heading, style.columns).map((line) => painted(line, 'bold', style)), ...lines].join('\n')).join('\n\n') + '\n';
}

const plain = (value: number): string => String(Number(value.toPrecision(3)));
const valueOf = (plan: Plan, key: 'magnification' | 'fNumber' | 'effectiveFNumber' | 'wavelengthNm'): string => plain(plan.optics[key].value ?? 0);

function headline(plan: Plan): string {
  return `Shoot ${countText(plan.frames, 'frame')}, ${lengthText(plan.stepUm)} apart, to cover ${lengthText(plan.depthUm)} at ${valueOf(plan, 'magnification')}× f/${valueOf(plan, 'fNumber')}.`;
}

function figures(plan: Plan, style: TextStyle): string[] {
  const rows: [string, string][] = [
    ['Depth of field', `${lengthText(plan.dofUm)} (DOF: what one frame keeps sharp)`],
    ['Step', `${lengthText(plan.stepUm)}, so that neighbours overlap by ${Math.round(100 * plan.overlap)} %`],
    ['Travel', `${lengthText(plan.travelUm)} from the first frame, on the nearest point, to the last`],
  ];
  if (plan.railUnits !== null) rows.push(['Rail', railText(plan)]);
  if (plan.clearanceMm !== null) rows.push(['Room left', `${plan.clearanceMm.toFixed(1)} mm between lens and subject when all the way in`]);
  return rows.flatMap(([name, text]) => wrapText(text, style.columns, ' '.repeat(18), `  ${name.padEnd(16)}`));
}

function railText(plan: Plan): string {
  const whole = plan.wholeUnits;
  const exact = `${plain(plan.railUnits ?? 0)} units a step`;
  if (whole === null) return exact;
  return `${exact}; in whole units ${whole.units}, which makes ${countText(whole.frames, 'frame')} overlapping by ${Math.round(100 * whole.overlap)} %`;
}

function why(plan: Plan, style: TextStyle): string[] {
  const free = plan.freeToFNumber;
  const judged = plan.outputWidthPx === null ? 'when every pixel counts' : `in a picture ${plan.outputWidthPx} pixels wide`;
  const sentences = [
    `At ${valueOf(plan, 'magnification')}× the lens works as f/${valueOf(plan, 'effectiveFNumber')}, not f/${valueOf(plan, 'fNumber')}: the light spreads over a larger picture. Depth of field and diffraction follow from that.`,
    `Closing the aperture by one stop doubles the depth of field at most, and so halves the frames, but makes the finest detail 1.4 times coarser wherever diffraction limits it. Down to f/${Number(free.toPrecision(2))} that costs nothing ${judged}, because the pixels are coarser still.`,
  ];
  return sentences.flatMap((sentence) => wrapText(sentence, style.columns, '  '));
}

interface TableColumn { head: string; cell: (row: PlanAperture) => string; left?: true }
const COLUMNS: readonly TableColumn[] = [
  { head: 'at work', cell: (a) => `f/${plain(a.effectiveFNumber)}` },
  { head: 'DOF', cell: (a) => lengthText(a.dofUm) },
  { head: 'step', cell: (a) => lengthText(a.stepUm) },
  { head: 'frames', cell: (a) => String(a.frames) },
  { head: 'Airy', cell: (a) => `${a.airyDiameterPx.toFixed(1)} px` },
  { head: 'resolves', cell: (a) => lengthText(a.resolvedUm) },
  { head: 'limited by', cell: (a) => a.limitedBy, left: true },
];
const LEGEND: readonly (readonly [string, string])[] = [['at work', 'the effective aperture'], ['Airy', 'diameter of the diffraction disc in pixels of the picture'], ['resolves', 'finest detail on the subject that stays apart']];
/** What is left out first where the terminal is narrow. */
const DISPENSABLE = ['Airy', 'at work', 'step', 'limited by'];

function apertureTable(plan: Plan, style: TextStyle): string[] {
  const mark = (a: PlanAperture): string => `${a.fNumber === plan.optics.fNumber.value ? '> ' : '  '}f/${plain(a.fNumber)}`;
  let columns: TableColumn[] = [{ head: '  aperture', cell: mark, left: true }, ...COLUMNS];
  const width = ({ head, cell }: TableColumn): number => Math.max(head.length, ...plan.apertures.map((row) => cell(row).length));
  const total = (): number => columns.reduce((sum, column) => sum + width(column) + 2, 0);
  for (const head of DISPENSABLE) if (total() > style.columns) columns = columns.filter((column) => column.head !== head);
  const line = (text: (column: TableColumn) => string): string => `  ${columns.map((column) => (column.left ? text(column).padEnd(width(column)) : text(column).padStart(width(column)))).join('  ')}`.trimEnd();
  const heads = columns.map(({ head }) => head);
  const legend = LEGEND.filter(([head]) => heads.includes(head)).map(([head, words]) => `${head}: ${words}`).join('; ');
  return [line(({ head }) => head), ...plan.apertures.map((row) => line(({ cell }) => cell(row))), ...wrapText(`(${legend}.)`, style.columns, '  ')];
}

function pupilRatio(plan: Plan, style: TextStyle): string[] {
  if (plan.pupilRatioRange === null) return [];
  const cases = plan.pupilRatioRange.map((c) => `with ${plain(c.pupilRatio)} the DOF is ${lengthText(c.dofUm)} and ${countText(c.frames, 'frame')} are needed`).join('; ');
  const sentences = [
    `1 was assumed; ${cases}.`,
    'With a ruler: hold the lens at arm’s length, stopped down a little, and measure the bright disc seen from the camera’s side, then from the subject’s side. The first over the second is the pupil ratio.',
    'From two stacks: shoot the same subject in the same rail steps at two magnifications m1 and m2, and check both. With R the square root of the first median step in DOF over the second, the pupil ratio is m1 × m2 × (1 − R) / (R × m2 − m1).',
    'From a rail you know: check a stack and change --pupil-ratio until the measured step agrees with the rail’s.',
  ];
  return sentences.flatMap((sentence) => wrapText(sentence, style.columns, '  '));
}
