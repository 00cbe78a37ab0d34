import type { TileMap } from '../../src/contract/report.js';
import type { PicturePoint } from '../../src/optics/depth-profile.js';
import { hatchPattern } from './hatch-pattern.js';
import type { TileArea } from './tile-areas.js';
import { toScreen, type ScreenSize, type Viewport } from './viewport.js';

export interface OverlayColours { hatchLight: string; hatchDark: string; mark: string; markUnder: string }
export interface Overlay {
  soft: TileArea | null;
  marked: TileArea | null;
  /** The marked area is missing depth, and not something sharp. */
  markedIsSoft: boolean;
  tile: number | null;
  hover: number | null;
  /** A line whose depths are shown, in source pixels. */
  profile: { from: PicturePoint; to: PicturePoint } | null;
}

/** Draws states over the picture: soft areas hatched, what is marked set off, the place ringed. Never by colour alone. */
export function drawOverlay(context: CanvasRenderingContext2D, overlay: Overlay, tiles: TileMap, view: Viewport, screen: ScreenSize, pixelRatio: number, colours: OverlayColours): void {
  const tilePx = tiles.tilePx * view.zoom * pixelRatio;
  const origin = toScreen(view, 0, 0, screen);
  const toTiles = (): void => context.setTransform(tilePx, 0, 0, tilePx, origin.x * pixelRatio, origin.y * pixelRatio);
  const hatch = (area: TileArea, light: string, dense: boolean): void => {
    const pattern = hatchPattern(context, light, colours.hatchDark, pixelRatio, dense);
    if (!pattern || area.count === 0) return;
    context.save();
    toTiles();
    // The lines stay as far apart on the screen, however large the tiles are.
    pattern.setTransform(context.getTransform().inverse());
    context.fillStyle = pattern;
    context.fill(area.fill);
    context.restore();
  };
  if (overlay.soft) hatch(overlay.soft, colours.hatchLight, false);
  if (overlay.marked && overlay.marked.count > 0) {
    // What is missing is hatched closely in the mark's own colour; what is sharp stays as it is while the rest steps back.
    if (overlay.markedIsSoft) hatch(overlay.marked, colours.mark, true);
    else dimRest(overlay.marked);
  }
  function dimRest(area: TileArea): void {
    context.save();
    toTiles();
    const rest = new Path2D();
    rest.rect(0, 0, tiles.columns, tiles.rows);
    rest.addPath(area.fill);
    context.globalAlpha = 0.55;
    context.fillStyle = colours.markUnder;
    context.fill(rest, 'evenodd');
    context.restore();
  }
  const ring = (tile: number, radius: number, width: number, colour: string): void => {
    const centre = toScreen(view, (Math.floor(tile / tiles.columns) + 0.5) * tiles.tilePx, ((tile % tiles.columns) + 0.5) * tiles.tilePx, screen);
    context.beginPath();
    context.arc(centre.x * pixelRatio, centre.y * pixelRatio, Math.max(radius * pixelRatio, tilePx * 0.75), 0, 2 * Math.PI);
    context.lineWidth = width * pixelRatio;
    context.strokeStyle = colour;
    context.stroke();
  };
  if (overlay.profile) {
    const [from, to] = [overlay.profile.from, overlay.profile.to].map(({ row, column }) => toScreen(view, row, column, screen));
    for (const [colour, width] of [[colours.markUnder, 5], [colours.mark, 2]] as const) {
      context.beginPath();
      context.moveTo(from.x * pixelRatio, from.y * pixelRatio);
      context.lineTo(to.x * pixelRatio, to.y * pixelRatio);
      context.lineWidth = width * pixelRatio;
      context.strokeStyle = colour;
      context.stroke();
    }
    context.fillStyle = colours.mark;
    context.font = `600 ${13 * pixelRatio}px sans-serif`;
    for (const [letter, at] of [['A', from], ['B', to]] as const) {
      context.lineWidth = 4 * pixelRatio;
      context.strokeStyle = colours.markUnder;
      context.strokeText(letter, (at.x + 7) * pixelRatio, (at.y - 7) * pixelRatio);
      context.fillText(letter, (at.x + 7) * pixelRatio, (at.y - 7) * pixelRatio);
    }
  }
  if (overlay.tile !== null) {
    ring(overlay.tile, 13, 5, colours.markUnder);
    ring(overlay.tile, 13, 2.5, colours.mark);
  }
  if (overlay.hover !== null && overlay.hover !== overlay.tile) ring(overlay.hover, 6, 1.5, colours.mark);
}
