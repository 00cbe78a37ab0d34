import type { TileMap } from '../../src/contract/report.js';
import { drawOverlay, type Overlay, type OverlayColours } from './draw-overlay.js';
import { drawPieces } from './draw-pieces.js';
import type { PieceLoader } from './piece-loader.js';
import { bounded, fitted, panned, toSource, zoomedAt, type Extent, type ScreenSize, type Viewport } from './viewport.js';

export interface PictureScene {
  picture: Extent;
  tiles: TileMap | null;
  overlay: Overlay;
  depth: HTMLCanvasElement | null;
  colours: OverlayColours;
  ground: string;
  /** Laid over the picture by multiplication (the bench scheme's amber); null for none. */
  tint: string | null;
}

/** Owns a canvas: keeps the view, draws once a screen refresh, whatever changed. Outside React, so that panning draws nothing else. */
export class PicturePainter {
  private view: Viewport | null = null;
  private whole = true;
  private screen: ScreenSize = { width: 0, height: 0 };
  private scene: PictureScene | null = null;
  private loader: PieceLoader | null = null;
  private frame = 0;
  private readonly context: CanvasRenderingContext2D;
  onView: (zoom: number) => void = () => undefined;

  constructor(private readonly canvas: HTMLCanvasElement) { this.context = canvas.getContext('2d', { alpha: false })!; }

  show(scene: PictureScene): void {
    const changed = !this.scene || this.scene.picture.rows !== scene.picture.rows || this.scene.picture.columns !== scene.picture.columns;
    this.scene = scene;
    if (changed) { this.whole = true; this.view = null; }
    this.refresh();
  }

  load(loader: PieceLoader | null): void { this.loader = loader; this.refresh(); }

  resize(screen: ScreenSize): void {
    this.screen = screen;
    const ratio = window.devicePixelRatio || 1;
    this.canvas.width = Math.max(1, Math.round(screen.width * ratio));
    this.canvas.height = Math.max(1, Math.round(screen.height * ratio));
    if (this.whole) this.view = null;
    this.refresh();
  }

  pan(dx: number, dy: number): void { this.change((view, picture) => panned(view, dx, dy, picture, this.screen)); }
  zoomAt(factor: number, x = this.screen.width / 2, y = this.screen.height / 2): void { this.change((view, picture) => zoomedAt(view, factor, x, y, picture, this.screen)); }
  showWhole(): void { this.whole = true; this.view = null; this.refresh(); }

  /** One source pixel on one device pixel, around a point of the screen or a source pixel; back to the whole picture where it is there already. */
  toggleFull(x = this.screen.width / 2, y = this.screen.height / 2): void {
    const full = 1 / (window.devicePixelRatio || 1);
    if (this.view && Math.abs(this.view.zoom - full) < 1e-3) { this.showWhole(); return; }
    this.change((view, picture) => zoomedAt(view, full / view.zoom, x, y, picture, this.screen));
  }

  /** Brings a source pixel into sight where it is not. */
  reveal(row: number, column: number): void {
    this.change((view, picture) => {
      const start = toSource(view, 24, 24, this.screen), end = toSource(view, this.screen.width - 24, this.screen.height - 24, this.screen);
      if (row >= start.row && row <= end.row && column >= start.column && column <= end.column) return view;
      return bounded({ ...view, row, column }, picture, this.screen);
    });
  }

  centreOn(row: number, column: number, zoom: number): void { this.change((_view, picture) => bounded({ row, column, zoom }, picture, this.screen)); }

  /** The tile under a point of the screen; null outside the picture. */
  tileAt(x: number, y: number): number | null {
    const tiles = this.scene?.tiles;
    if (!this.view || !tiles) return null;
    const place = toSource(this.view, x, y, this.screen);
    const row = Math.floor(place.row / tiles.tilePx), column = Math.floor(place.column / tiles.tilePx);
    return row >= 0 && column >= 0 && row < tiles.rows && column < tiles.columns ? row * tiles.columns + column : null;
  }

  /** The source pixel under a point of the screen, held inside the picture; null before anything is shown. */
  pointAt(x: number, y: number): { row: number; column: number } | null {
    if (!this.view || !this.scene) return null;
    const { row, column } = toSource(this.view, x, y, this.screen), { rows, columns } = this.scene.picture;
    return { row: Math.min(rows, Math.max(0, row)), column: Math.min(columns, Math.max(0, column)) };
  }

  close(): void { cancelAnimationFrame(this.frame); }

  private change(next: (view: Viewport, picture: Extent) => Viewport): void {
    if (!this.scene || this.screen.width === 0) return;
    const { picture } = this.scene;
    this.view = next(this.view ?? fitted(picture, this.screen), picture);
    this.whole = Math.abs(this.view.zoom - fitted(picture, this.screen).zoom) < 1e-6;
    this.refresh();
  }

  readonly refresh = (): void => {
    cancelAnimationFrame(this.frame);
    this.frame = requestAnimationFrame(() => this.draw());
  };

  private draw(): void {
    const { scene, screen, context } = this;
    if (!scene || screen.width === 0 || scene.picture.rows === 0) return;
    this.view ??= fitted(scene.picture, screen);
    const ratio = window.devicePixelRatio || 1;
    context.setTransform(1, 0, 0, 1, 0, 0);
    context.fillStyle = scene.ground;
    context.fillRect(0, 0, this.canvas.width, this.canvas.height);
    if (this.loader) drawPieces(context, this.loader, this.view, scene.picture, screen, ratio);
    if (scene.tiles && scene.depth) this.drawDepth(scene.depth, scene.tiles, ratio);
    if (scene.tint) {
      context.globalCompositeOperation = 'multiply';
      context.fillStyle = scene.tint;
      context.fillRect(0, 0, this.canvas.width, this.canvas.height);
      context.globalCompositeOperation = 'source-over';
    }
    if (scene.tiles) drawOverlay(context, scene.overlay, scene.tiles, this.view, screen, ratio, scene.colours);
    this.onView(this.view.zoom * ratio);
  }

  private drawDepth(depth: HTMLCanvasElement, tiles: TileMap, ratio: number): void {
    const view = this.view!;
    const edge = tiles.tilePx * view.zoom * ratio;
    this.context.globalAlpha = 0.86;
    this.context.imageSmoothingEnabled = false;
    this.context.drawImage(depth, (this.screen.width / 2 - view.column * view.zoom) * ratio, (this.screen.height / 2 - view.row * view.zoom) * ratio, tiles.columns * edge, tiles.rows * edge);
    this.context.globalAlpha = 1;
  }
}
