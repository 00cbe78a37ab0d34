/** Where the picture is looked at: the source pixel in the middle, and CSS pixels per source pixel. Pure functions, no drawing. */
export interface Viewport { row: number; column: number; zoom: number }
export interface Extent { rows: number; columns: number }
export interface ScreenSize { width: number; height: number }

const MOST_ZOOM = 8;

/** The whole picture, as large as it fits. */
export function fitted(picture: Extent, screen: ScreenSize): Viewport {
  const zoom = Math.min(screen.width / Math.max(1, picture.columns), screen.height / Math.max(1, picture.rows));
  return { row: picture.rows / 2, column: picture.columns / 2, zoom: zoom > 0 && Number.isFinite(zoom) ? zoom : 1 };
}

/** Keeps the zoom between "whole picture" and eightfold, and the picture on the screen: no edge is pulled past the frame's middle space. */
export function bounded(view: Viewport, picture: Extent, screen: ScreenSize): Viewport {
  const least = fitted(picture, screen).zoom;
  const zoom = Math.min(Math.max(view.zoom, Math.min(least, 1)), Math.max(MOST_ZOOM, least));
  const place = (at: number, length: number, shown: number): number =>
    (length * zoom <= shown ? length / 2 : Math.min(Math.max(at, shown / zoom / 2), length - shown / zoom / 2));
  return { zoom, row: place(view.row, picture.rows, screen.height), column: place(view.column, picture.columns, screen.width) };
}

/** Zooms by a factor and keeps the source pixel under the given screen point where it is. */
export function zoomedAt(view: Viewport, factor: number, x: number, y: number, picture: Extent, screen: ScreenSize): Viewport {
  const under = toSource(view, x, y, screen);
  const zoom = bounded({ ...view, zoom: view.zoom * factor }, picture, screen).zoom;
  return bounded({ zoom, column: under.column - (x - screen.width / 2) / zoom, row: under.row - (y - screen.height / 2) / zoom }, picture, screen);
}

export const panned = (view: Viewport, dx: number, dy: number, picture: Extent, screen: ScreenSize): Viewport =>
  bounded({ ...view, column: view.column - dx / view.zoom, row: view.row - dy / view.zoom }, picture, screen);

export const toSource = (view: Viewport, x: number, y: number, screen: ScreenSize): { row: number; column: number } =>
  ({ column: view.column + (x - screen.width / 2) / view.zoom, row: view.row + (y - screen.height / 2) / view.zoom });

export const toScreen = (view: Viewport, row: number, column: number, screen: ScreenSize): { x: number; y: number } =>
  ({ x: (column - view.column) * view.zoom + screen.width / 2, y: (row - view.row) * view.zoom + screen.height / 2 });
