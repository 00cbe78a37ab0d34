import type { Report } from '../../contract/report.js';
import { depthProfile, type ProfileLine, type ProfilePoint } from '../../optics/depth-profile.js';
import { lengthText } from '../../optics/number-text.js';
import { depthFigure } from './figures.js';
import { html, Markup } from './markup.js';

const WIDTH = 720, HEIGHT = 210, LEFT = 64, RIGHT = 10, TOP = 12, BOTTOM = 30;

/** The surface cut along a line in the picture, camera side on top; where nothing was measured the curve is interrupted. */
export function profileDrawing(report: Report, line: ProfileLine): Markup {
  const points = depthProfile(report, line.from, line.to);
  const known = points.flatMap(({ depthDof }) => (depthDof === null ? [] : [depthDof]));
  const where = `from ${pointText(line.from)} to ${pointText(line.to)}`;
  if (known.length === 0) return html`<h2>Profile</h2><p>Nothing was measured along the line ${where}.</p>`;
  const near = Math.min(...known), far = Math.max(...known), span = Math.max(far - near, 0.1);
  const longPx = points[points.length - 1].distancePx;
  const x = (point: ProfilePoint): number => LEFT + ((WIDTH - LEFT - RIGHT) * point.distancePx) / longPx;
  const y = (dof: number): number => TOP + ((HEIGHT - TOP - BOTTOM) * (dof - near)) / span;
  const end = points[points.length - 1];
  const length = end.distanceUm === null ? `${Math.round(longPx)} px` : lengthText(end.distanceUm);
  return html`<section class="whole"><h2>Profile</h2><p class="quiet">Depth along the line ${where}, in pixels from the left and the top. It is drawn on the map above.</p>
  <svg class="ladder" viewBox="0 0 ${WIDTH} ${HEIGHT}" role="img" aria-label="Depth of the surface along the line ${where}">
    <line class="axis" x1="${LEFT}" x2="${LEFT}" y1="${TOP}" y2="${HEIGHT - BOTTOM}"/><line class="axis" x1="${LEFT}" x2="${WIDTH - RIGHT}" y1="${HEIGHT - BOTTOM}" y2="${HEIGHT - BOTTOM}"/>
    <text class="quiet" x="${LEFT - 6}" y="${TOP + 8}" text-anchor="end">${depthFigure(near, report.optics.dofUm.value)}</text>
    <text class="quiet" x="${LEFT - 6}" y="${HEIGHT - BOTTOM}" text-anchor="end">${depthFigure(far, report.optics.dofUm.value)}</text>
    <text class="quiet" x="${LEFT}" y="${HEIGHT - 10}">start</text><text class="quiet" x="${WIDTH - RIGHT}" y="${HEIGHT - 10}" text-anchor="end">${length}</text>
    <path class="profile" d="${new Markup(pathOf(points, x, y))}"/>
  </svg></section>`;
}

const pointText = ({ row, column }: ProfileLine['from']): string => `${Math.round(column)}, ${Math.round(row)}`;

/** Lifts the pen where the depth is not known. */
function pathOf(points: readonly ProfilePoint[], x: (point: ProfilePoint) => number, y: (dof: number) => number): string {
  let down = false;
  return points.map((point) => {
    if (point.depthDof === null) { down = false; return ''; }
    const part = `${down ? 'L' : 'M'}${x(point).toFixed(1)} ${y(point.depthDof).toFixed(1)}`;
    down = true;
    return part;
  }).join('');
}
