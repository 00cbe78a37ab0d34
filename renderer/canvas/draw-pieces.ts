import type { PieceLoader } from './piece-loader.js';
import { toScreen, type Extent, type ScreenSize, type Viewport } from './viewport.js';
import { coarsestLevel, levelFor, PIECE_PX, visiblePieces } from './visible-tiles.js';

/** Draws what is there of the picture, coarse pieces under fine ones, and asks for the rest. */
export function drawPieces(context: CanvasRenderingContext2D, loader: PieceLoader, view: Viewport, picture: Extent, screen: ScreenSize, pixelRatio: number): void {
  const wantedLevel = levelFor(view.zoom, pixelRatio, picture);
  const coarsest = coarsestLevel(picture);
  const wanted = visiblePieces(view, wantedLevel, picture, screen);
  const base = visiblePieces(view, coarsest, picture, screen);
  loader.want(wantedLevel === coarsest ? wanted : [...base, ...wanted], view.zoom);
  context.imageSmoothingEnabled = view.zoom * pixelRatio < 2;
  // Every level that may hold something, coarse first; what finer pieces cover altogether is not drawn: without a graphics card each layer takes as long as the first.
  const levels = Array.from({ length: coarsest - wantedLevel + 1 }, (_, i) => coarsest - i).map((level) => ({ level, pieces: level === wantedLevel ? wanted : visiblePieces(view, level, picture, screen) }));
  const missing = levels.map(({ pieces }) => pieces.some((piece) => !loader.piece(piece)));
  const first = Math.max(0, missing.lastIndexOf(false));
  for (const { level, pieces } of levels.slice(first)) {
    const span = PIECE_PX * 2 ** level;
    for (const piece of pieces) {
      const bitmap = loader.piece(piece);
      if (!bitmap) continue;
      const from = toScreen(view, piece.row * span, piece.column * span, screen);
      const to = toScreen(view, Math.min(picture.rows, piece.row * span + bitmap.height * 2 ** level), Math.min(picture.columns, piece.column * span + bitmap.width * 2 ** level), screen);
      // Whole device pixels at both edges: no seams between pieces.
      const left = Math.round(from.x * pixelRatio), top = Math.round(from.y * pixelRatio);
      context.drawImage(bitmap, left, top, Math.round(to.x * pixelRatio) - left, Math.round(to.y * pixelRatio) - top);
    }
  }
}
