import type { TileMap } from '../../src/contract/report.js';
import { hatchPattern } from './hatch-pattern.js';
import type { TileArea } from './tile-areas.js';
import { toScreen, type ScreenSize, type Viewport } from './viewport.js';

export interface OverlayColours { hatchLight: string; hatchDark: string; mark: string; markUnder: string }
export interface Overlay {
  soft: TileArea | null;
  marked: TileArea | null;
  /** The marked area is missing depth (hatched more densely) and not something sharp (outlined only). */
  markedIsSoft: boolean;
  tile: number | null;
  hover: number | null;
}

/** Draws states over the picture: soft areas hatched, what is marked outlined, the place ringed. Never by colour alone. */
export function drawOverlay(context: CanvasRenderingContext2D, overlay: Overlay, tiles: TileMap, view: Viewport, screen: ScreenSize, pixelRatio: number, colours: OverlayColours): void {
  const tilePx = tiles.tilePx * view.zoom * pixelRatio;
  const origin = toScreen(view, 0, 0, screen);
  const toTiles = (): void => context.setTransform(tilePx, 0, 0, tilePx, origin.x * pixelRatio, origin.y * pixelRatio);
  const hatch = (area: TileArea, dense: boolean): void => {
    const pattern = hatchPattern(context, colours.hatchLight, colours.hatchDark, pixelRatio, dense);
    if (!pattern || area.count === 0) return;
    context.save();
    toTiles();
    context.clip(area.fill);
    context.setTransform(1, 0, 0, 1, 0, 0);
    context.fillStyle = pattern;
    context.fillRect(0, 0, context.canvas.width, context.canvas.height);
    context.restore();
  };
  if (overlay.soft) hatch(overlay.soft, false);
  if (overlay.marked && overlay.marked.count > 0) {
    if (overlay.markedIsSoft) hatch(overlay.marked, true);
    for (const [colour, width] of [[colours.markUnder, 3.5], [colours.mark, 1.6]] as const) {
      context.save();
      toTiles();
      context.strokeStyle = colour;
      context.lineWidth = (width * pixelRatio) / tilePx;
      context.lineCap = 'square';
      context.stroke(overlay.marked.outline);
      context.restore();
    }
  }
  const ring = (tile: number, radius: number, width: number, colour: string): void => {
    const centre = toScreen(view, (Math.floor(tile / tiles.columns) + 0.5) * tiles.tilePx, ((tile % tiles.columns) + 0.5) * tiles.tilePx, screen);
    context.beginPath();
    context.arc(centre.x * pixelRatio, centre.y * pixelRatio, Math.max(radius * pixelRatio, tilePx * 0.75), 0, 2 * Math.PI);
    context.lineWidth = width * pixelRatio;
    context.strokeStyle = colour;
    context.stroke();
  };
  if (overlay.tile !== null) {
    ring(overlay.tile, 13, 5, colours.markUnder);
    ring(overlay.tile, 13, 2.5, colours.mark);
  }
  if (overlay.hover !== null && overlay.hover !== overlay.tile) ring(overlay.hover, 6, 1.5, colours.mark);
}
