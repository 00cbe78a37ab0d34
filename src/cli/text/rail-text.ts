import type { RailReport } from '../../contract/rail.js';
import { dofText, lengthText, measuredText } from '../../optics/number-text.js';
import { painted, type TextStyle } from './text-style.js';
import { wrapText } from './wrap-text.js';

/** What a rail does, for a terminal: figures, a chart of what every frame is off, cautions. */
export function railText(rail: RailReport, labels: readonly string[], style: TextStyle): string {
  const sections: [string, string[]][] = [
    [headline(rail), figures(rail, labels, style)],
    ['Each frame against even steps (on the right, in µm)', chart(rail, labels, style)],
    ['Mind', rail.cautions.flatMap((caution) => wrapText(caution, style.columns, '      ', '   !  '))],
  ];
  return sections.filter(([, lines]) => lines.length > 0)
    .map(([heading, lines]) => [...wrapText(heading, style.columns).map((line) => painted(line, 'bold', style)), ...lines].join('\n')).join('\n\n') + '\n';
}

function headline(rail: RailReport): string {
  if (rail.measuredUm !== null) return `The rail really moves ${measuredText(rail.measuredUm, rail.measuredSigmaUm)} a frame${commanded(rail)}.`;
  return rail.measuredDof === null ? 'Cannot tell what the rail does.' : `The rail moves ${dofText(rail.measuredDof)} a frame; how much that is in µm is not known.`;
}

/** Steps are measured to 2 % (design), so a smaller drift can't be told from the measurement. */
const LEAST_DRIFT = 0.02;

function commanded(rail: RailReport): string {
  if (rail.commandedUm === null || rail.measuredUm === null) return '';
  const percent = 100 * (rail.measuredUm / rail.commandedUm - 1);
  return `, where ${lengthText(rail.commandedUm)} were asked for (${percent >= 0 ? '+' : '−'}${Math.abs(percent).toFixed(1)} %)`;
}

function figures(rail: RailReport, labels: readonly string[], style: TextStyle): string[] {
  const rows: [string, string][] = [];
  if (rail.railUnitUm !== null) rows.push(['Rail unit', `${lengthText(rail.railUnitUm)}, as measured`]);
  if (rail.scatterUm !== null) rows.push(['Scatter', scatterText(rail.scatterUm, rail.measurementUm)]);
  if (rail.slackUm !== null) rows.push(['Slack', `${measuredText(rail.slackUm, rail.slackSigmaUm)} ${rail.slackAt === 'turn' ? 'where the rail turned back' : 'before it first moved'}`]);
  if (rail.driftSigma !== null) rows.push(['Drift', Math.abs(rail.drift) > Math.max(2 * rail.driftSigma, LEAST_DRIFT) ? `steps are ${(100 * Math.abs(rail.drift)).toFixed(1)} % ${rail.drift > 0 ? 'longer' : 'shorter'} at the end than at the start` : 'none that can be told from scatter']);
  if (rail.periodic !== null) rows.push(['Screw', `a regular error of ${lengthText(rail.periodic.amplitudeUm)} either way, every ${lengthText(rail.periodic.periodUm)}`]);
  if (rail.slips.length > 0) rows.push(['Slips', rail.slips.map(({ afterFrame, um }) => `after ${labels[afterFrame]} by ${um < 0 ? '−' : '+'}${lengthText(Math.abs(um))}`).join(', ')]);
  rows.push(['Frames', `${rail.frames}; lengths come from ${{ tilt: 'the tilt of the target', optics: 'the optics', unknown: 'nowhere' }[rail.scaleFrom]}`]);
  return rows.flatMap(([name, text]) => wrapText(text, style.columns, ' '.repeat(14), `  ${name.padEnd(12)}`));
}

function scatterText(scatterUm: number, measurementUm: number | null): string {
  const differ = `single steps differ by ${lengthText(scatterUm)}`;
  if (measurementUm === null) return differ;
  return measurementUm < scatterUm ? `${differ}, of which the measurement makes ${measurementUm < 0.05 ? 'next to nothing' : lengthText(measurementUm)}` : `${differ}, no more than the measurement itself may add`;
}

const signed = (um: number): string => (Math.abs(um) < 0.05 ? ' 0.0' : `${um < 0 ? '−' : '+'}${Math.abs(um).toFixed(1)}`);

/** A mark a frame, left of the middle where it is nearer than even steps would put it. */
function chart(rail: RailReport, labels: readonly string[], style: TextStyle): string[] {
  if (rail.chart.length === 0) return [];
  const off = rail.chart.map(({ measuredUm, expectedUm }) => measuredUm - expectedUm);
  const most = Math.max(0.1, ...off.map(Math.abs));
  const half = Math.max(8, Math.min(24, Math.floor((style.columns - 30) / 2)));
  const wide = Math.max(...rail.chart.map(({ frame }) => (labels[frame] ?? '').length));
  return rail.chart.map(({ frame, measuredUm }, i) => {
    const at = half + Math.round((off[i] / most) * half);
    const line = Array.from({ length: 2 * half + 1 }, (_, k) => (k === at ? 'o' : k === half ? '|' : ' ')).join('').trimEnd();
    return `  ${(labels[frame] ?? '').padEnd(wide)}  ${lengthText(measuredUm, 'ladder').padStart(9)}  ${line.padEnd(2 * half + 1)}  ${signed(off[i])}`;
  });
}
