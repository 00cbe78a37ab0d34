import type { Report, TileState } from '../../contract/report.js';
import type { ProfileLine } from '../../optics/depth-profile.js';
import { depthColour } from './depth-colour.js';
import { shareText } from '../../optics/number-text.js';
import { depthFigure } from './figures.js';
import { indexedPng } from './indexed-png.js';
import { html, Markup } from './markup.js';

/** Palette entries left for what is not a depth. */
const NO_DETAIL = 0;
const COLOURS = 255;
const WIDTH = 640;

/** Depth over the picture as a colour, soft and uncovered areas hatched on top, with a scale and what each hatching means. */
export function tileMapDrawing(report: Report, profile: ProfileLine | null): Markup {
  const { tiles, stack } = report;
  if (tiles.rows * tiles.columns === 0) return html`<p>No tile of the picture could be measured.</p>`;
  const depths = tiles.depthDof.filter((depth) => depth !== null);
  const near = depths.reduce((low, depth) => Math.min(low, depth), Infinity);
  const far = depths.reduce((high, depth) => Math.max(high, depth), -Infinity);
  const height = Math.round((WIDTH * stack.height) / Math.max(1, stack.width));
  // Tiles at the right and lower edge may reach beyond the picture.
  const gridWidth = (WIDTH * tiles.columns * tiles.tilePx) / Math.max(1, stack.width);
  const gridHeight = (gridWidth * tiles.rows) / tiles.columns;
  const cell = gridWidth / tiles.columns;
  return html`<div class="map">
    <svg viewBox="0 0 ${WIDTH} ${height}" role="img" aria-label="Picture with its depth as colour; soft areas are hatched">
      ${patterns()}
      <image href="data:image/png;base64,${mapPng(report, near, far).toString('base64')}" width="${gridWidth.toFixed(2)}" height="${gridHeight.toFixed(2)}" preserveAspectRatio="none" style="image-rendering:pixelated"/>
      ${HATCHED.map(({ state, fill }) => html`<path d="${pathOf(report, state, cell)}" fill="url(#${fill})"/>`)}
      ${profile === null ? null : lineDrawing(profile, WIDTH / Math.max(1, stack.width))}
    </svg>
    <div class="legend">${depths.length === 0 ? null : scaleDrawing(near, far, report.optics.dofUm.value)}
      <ul>${HATCHED.concat({ state: 'no-detail', fill: 'none', words: 'too little detail to tell' }).map(({ state, fill, words }) => legendLine(report, state, fill, words))}</ul>
    </div>
  </div>`;
}

const HATCHED: { state: TileState; fill: string; words: string }[] = [
  { state: 'soft', fill: 'hatch-soft', words: 'soft: sharp in no frame' },
  { state: 'beyond-near', fill: 'hatch-near', words: 'nearer than the first rung' },
  { state: 'beyond-far', fill: 'hatch-far', words: 'farther than the last rung' },
];

/** Where the profile is cut, dark on light so that it shows on every colour; its start carries a dot. */
function lineDrawing({ from, to }: ProfileLine, scale: number): Markup {
  const ends = `x1="${from.column * scale}" y1="${from.row * scale}" x2="${to.column * scale}" y2="${to.row * scale}"`;
  return html`<g class="cut">${new Markup(`<line class="under" ${ends}/><line ${ends}/>`)}<circle cx="${from.column * scale}" cy="${from.row * scale}" r="4"/></g>`;
}

/** Light and dark line side by side, so that hatching shows on every colour and in print. */
function patterns(): Markup {
  const lines = (id: string, turn: number, gap: number): Markup => html`<pattern id="${id}" width="${gap}" height="${gap}" patternUnits="userSpaceOnUse" patternTransform="rotate(${turn})">
    <rect width="${gap}" height="${gap}" fill="#fff" fill-opacity=".25"/><rect width="1.6" height="${gap}" fill="#8a2c06"/><rect x="1.6" width="1.2" height="${gap}" fill="#fff"/></pattern>`;
  return html`<defs>${lines('hatch-soft', 45, 6)}${lines('hatch-near', 0, 8)}${lines('hatch-far', 90, 8)}</defs>`;
}

function legendLine(report: Report, state: TileState, fill: string, words: string): Markup | null {
  const count = report.tiles.state.filter((other) => other === state).length;
  if (count === 0 && state !== 'soft') return null;
  return html`<li><svg width="26" height="16" aria-hidden="true"><rect width="26" height="16" class="swatch"/><rect width="26" height="16" fill="${fill === 'none' ? 'none' : `url(#${fill})`}"/></svg> ${words}: ${shareText(count / Math.max(1, report.tiles.state.length))} of the picture</li>`;
}

function scaleDrawing(near: number, far: number, dofUm: number | null): Markup {
  const steps = Array.from({ length: 24 }, (_, i) => depthColour(i / 23));
  return html`<div class="scale"><svg viewBox="0 0 240 14" aria-hidden="true">${steps.map((rgb, i) => html`<rect x="${i * 10}" width="10.5" height="14" fill="rgb(${rgb.join(',')})"/>`)}</svg>
    <span>${depthFigure(near, dofUm)}</span><span>${depthFigure(far, dofUm)}</span></div>`;
}

function mapPng(report: Report, near: number, far: number): Buffer {
  const { tiles } = report;
  const span = far > near ? far - near : 1;
  const indices = Uint8Array.from(tiles.depthDof, (depth, i) => (depth === null || tiles.state[i] === 'no-detail' ? NO_DETAIL : 1 + Math.round(((depth - near) / span) * (COLOURS - 1))));
  const palette = [[226, 222, 212] as const, ...Array.from({ length: COLOURS }, (_, i) => depthColour(i / (COLOURS - 1)))];
  return indexedPng(tiles.rows, tiles.columns, indices, palette);
}

/** Runs of tiles of one state as rectangles, row by row. */
function pathOf(report: Report, state: TileState, cell: number): string {
  const { rows, columns, state: states } = report.tiles;
  const parts: string[] = [];
  for (let row = 0; row < rows; row++) {
    for (let column = 0; column < columns;) {
      if (states[row * columns + column] !== state) { column++; continue; }
      const start = column;
      while (column < columns && states[row * columns + column] === state) column++;
      const wide = ((column - start) * cell).toFixed(2);
      parts.push(`M${(start * cell).toFixed(2)} ${(row * cell).toFixed(2)}h${wide}v${cell.toFixed(2)}h-${wide}z`);
    }
  }
  return parts.join('');
}
