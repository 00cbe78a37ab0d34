import { toSource, type Extent, type ScreenSize, type Viewport } from './viewport.js';

/** Edge of the pieces a picture is fetched in, in pixels of their level. */
export const PIECE_PX = 512;

export interface Piece { level: number; row: number; column: number }
export const pieceKey = (piece: Piece): string => `${piece.level}/${piece.row}/${piece.column}`;

/** The coarsest level: the one at which the whole picture is one piece. */
export const coarsestLevel = (picture: Extent): number => Math.max(0, Math.ceil(Math.log2(Math.max(picture.rows, picture.columns, 1) / PIECE_PX)));

/** The level whose pixels are no larger than a device pixel, so that nothing is lost and nothing needless is fetched. */
export function levelFor(zoom: number, pixelRatio: number, picture: Extent): number {
  const sourcePerDevice = 1 / (zoom * pixelRatio);
  return Math.min(coarsestLevel(picture), Math.max(0, Math.floor(Math.log2(sourcePerDevice) + 1e-6)));
}

/** Pieces of a level that the screen shows, those in the middle first. */
export function visiblePieces(view: Viewport, level: number, picture: Extent, screen: ScreenSize): Piece[] {
  const span = PIECE_PX * 2 ** level;
  const start = toSource(view, 0, 0, screen), end = toSource(view, screen.width, screen.height, screen);
  const last = (length: number): number => Math.ceil(length / span) - 1;
  const pieces: Piece[] = [];
  for (let row = Math.max(0, Math.floor(start.row / span)); row <= Math.min(last(picture.rows), Math.floor(end.row / span)); row++) {
    for (let column = Math.max(0, Math.floor(start.column / span)); column <= Math.min(last(picture.columns), Math.floor(end.column / span)); column++) {
      pieces.push({ level, row, column });
    }
  }
  const away = (p: Piece): number => Math.hypot((p.row + 0.5) * span - view.row, (p.column + 0.5) * span - view.column);
  return pieces.sort((a, b) => away(a) - away(b));
}
