import type { Report } from '../../contract/report.js';
import { frameLabels } from '../../optics/frame-labels.js';
import { lengthText } from '../../optics/number-text.js';
import { depthFigure } from './figures.js';
import { html, type Markup } from './markup.js';
import { countsAsRung, missingBands, type MissingBand } from './missing-bands.js';

/** Drawing units; at this width the lettering is 8 pt on paper. */
const WIDTH = 720;
const LEFT = 10;
const INNER = WIDTH - 2 * LEFT;
/** Frames drawn in one strip; more would make labels collide. */
const FRAMES_PER_STRIP = 22;
const RUNG_ROW = 20;
const TOP = 36;
const AXIS = TOP + 2 * RUNG_ROW + 8;
const SURFACE_HEIGHT = 46;
const HEIGHT = AXIS + SURFACE_HEIGHT + 24;

interface Strip { startDof: number; endDof: number }

/**
 * The ladder along a depth axis drawn to scale, camera on the left: one rung a frame, as long as the depth of field, in two rows so
 * that overlap shows; missing depths hatched; below the axis, how much of the subject lies at each depth. Long stacks take several strips.
 */
export function ladderDrawing(report: Report): Markup {
  const placed = report.stack.order.filter((i) => report.stack.frames[i].positionDof !== null);
  if (placed.length === 0) return html`<p>No frame could be placed on the depth axis.</p>`;
  const start = Math.min(...placed.map((i) => report.stack.frames[i].positionDof ?? 0)) - 0.7;
  const end = Math.max(...placed.map((i) => report.stack.frames[i].positionDof ?? 0)) + 0.7;
  const count = Math.max(1, Math.ceil(placed.length / FRAMES_PER_STRIP));
  const strips = Array.from({ length: count }, (_, i) => ({ startDof: start + ((end - start) * i) / count, endDof: start + ((end - start) * (i + 1)) / count }));
  const surface = surfaceByDepth(report, start, end, 100 * count);
  return html`${strips.map((strip, i) => stripDrawing(report, strip, surface.slice(100 * i, 100 * (i + 1)), i, strips.length))}`;
}

function stripDrawing(report: Report, strip: Strip, surface: readonly number[], number: number, of: number): Markup {
  const scale = INNER / (strip.endDof - strip.startDof);
  const x = (dof: number): number => round(LEFT + (dof - strip.startDof) * scale);
  const within = (dof: number): boolean => dof >= strip.startDof && dof <= strip.endDof;
  const sides = report.stack.direction === 'unknown' ? ['one end', 'the other end'] : ['◂ camera', 'away ▸'];
  const title = `Ladder${of > 1 ? `, part ${number + 1} of ${of}` : ''}: depth axis from ${sides[0]} to ${sides[1]} with one rung for each frame`;
  return html`<svg class="ladder" viewBox="0 0 ${WIDTH} ${HEIGHT}" role="img" aria-label="${title}">
    <text x="${LEFT}" y="11" class="quiet">${number === 0 ? sides[0] : 'continued'}</text>
    <text x="${WIDTH - LEFT}" y="11" class="quiet" text-anchor="end">${number === of - 1 ? sides[1] : 'continues below'}</text>
    <svg x="${LEFT}" y="0" width="${INNER}" height="${HEIGHT}" viewBox="${LEFT} 0 ${INNER} ${HEIGHT}">
      ${missingBands(report).filter((band) => band.toDof > strip.startDof && band.fromDof < strip.endDof).map((band) => bandDrawing(band, x, report.optics.dofUm.value))}
      ${rungs(report, x, within, scale)}
      ${surface.map((height, i) => (height > 0 ? html`<rect class="surface" x="${round(LEFT + (i * INNER) / 100)}" y="${AXIS + 2}" width="${round(INNER / 100 - 1)}" height="${round(height * SURFACE_HEIGHT)}"/>` : null))}
    </svg>
    <line class="axis" x1="${LEFT}" x2="${WIDTH - LEFT}" y1="${AXIS}" y2="${AXIS}"/>
    ${axisMarks(report, strip, x)}
  </svg>`;
}

function rungs(report: Report, x: (dof: number) => number, within: (dof: number) => boolean, scale: number): Markup {
  const { frames, order } = report.stack;
  const labels = frameLabels(frames.map((frame) => frame.file));
  const wide = Math.max(...labels.map((label) => label.length)) * 6.4;
  // Frames at one depth lie on each other: all rungs are drawn before their names, and of names that would run into each other the first stands.
  const drawn: Markup[] = [], named: Markup[] = [], free = [-Infinity, -Infinity];
  order.forEach((index, k) => {
    const { positionDof, file } = frames[index], row = k % 2, y = TOP + row * RUNG_ROW, lost = countsAsRung(frames[index]) ? '' : ' lost';
    if (positionDof === null || (!within(positionDof - 0.5) && !within(positionDof + 0.5))) return;
    drawn.push(html`<rect class="rung${lost}" x="${x(positionDof - 0.5)}" y="${y}" width="${round(scale)}" height="${RUNG_ROW - 3}" rx="2"><title>${file}</title></rect>`);
    // A rung cut by the end of a strip is named in the strip that holds its middle, and never by half its name.
    const at = Math.max(LEFT + wide / 2, Math.min(WIDTH - LEFT - wide / 2, x(positionDof)));
    if (scale < wide || !within(positionDof) || at - wide / 2 < free[row]) return;
    free[row] = at + wide / 2;
    named.push(html`<text class="label${lost}" x="${round(at)}" y="${y + 13}" text-anchor="middle">${labels[index]}</text>`);
  });
  return html`${drawn}${named}`;
}

function bandDrawing(band: MissingBand, x: (dof: number) => number, dofUm: number | null): Markup {
  const from = x(band.fromDof);
  const wide = round(Math.max(2, x(band.toDof) - from));
  // Where several lie side by side their words would run into each other.
  const words = band.kind === 'unmeasured' ? (wide < 80 ? '?' : 'not measured') : `${depthFigure(band.toDof - band.fromDof, dofUm)} ${band.kind === 'harmful' ? 'in no frame' : 'empty'}`;
  const anchor = from + wide / 2 < 120 ? 'start' : from + wide / 2 > WIDTH - 120 ? 'end' : 'middle';
  const at = anchor === 'start' ? Math.max(LEFT, from) : anchor === 'end' ? Math.min(WIDTH - LEFT, from + wide) : from + wide / 2;
  return html`<rect class="band ${band.kind}" x="${from}" y="${TOP - 4}" width="${wide}" height="${2 * RUNG_ROW + 6}"/>
    <text class="band-label ${band.kind}" x="${round(at)}" y="${TOP - 9}" text-anchor="${anchor}">${words}</text>`;
}

/** Round numbers of µm (or DOF), four to eight of them. */
function axisMarks(report: Report, strip: Strip, x: (dof: number) => number): Markup {
  const perDof = report.optics.dofUm.value ?? 1;
  const span = (strip.endDof - strip.startDof) * perDof;
  const rough = span / 6;
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = [1, 2, 5, 10].map((factor) => factor * power).find((candidate) => candidate >= rough) ?? 10 * power;
  const marks: number[] = [];
  for (let value = Math.ceil((strip.startDof * perDof) / step) * step; value <= strip.endDof * perDof; value += step) marks.push(value);
  const words = (value: number): string => (report.optics.dofUm.value === null ? `${Number(value.toPrecision(6))} DOF` : lengthText(value).replace('.0 µm', ' µm'));
  return html`${marks.map((value) => html`<line class="axis" x1="${x(value / perDof)}" x2="${x(value / perDof)}" y1="${AXIS}" y2="${AXIS + 4}"/>
    <text class="quiet" x="${Math.max(30, Math.min(WIDTH - 36, x(value / perDof)))}" y="${HEIGHT - 6}" text-anchor="middle">${words(value)}</text>`)}`;
}

/** Number of tiles in each bin of depth, over that of a full bin; the few fullest ones are cut off, so that one level face does not flatten the rest. */
function surfaceByDepth(report: Report, start: number, end: number, bins: number): number[] {
  const counts = new Array<number>(bins).fill(0);
  for (const depth of report.tiles.depthDof) {
    if (depth === null) continue;
    const bin = Math.floor(((depth - start) / (end - start)) * bins);
    if (bin >= 0 && bin < bins) counts[bin]++;
  }
  const filled = counts.filter((count) => count > 0).sort((a, b) => a - b);
  const full = Math.max(1, filled[Math.floor(0.97 * (filled.length - 1))] ?? 1);
  return counts.map((count) => Math.min(1, count / full));
}

const round = (value: number): number => Math.round(value * 10) / 10;
