import type { Host } from '../../src/contract/host.js';
import { PIECE_PX, pieceKey, type Piece } from './visible-tiles.js';

const AT_ONCE = 4;
const MOST_PIECES = 96;
/** Pieces are fetched once the zoom has stayed as it is for this long: what is only passed through is decoded by nobody, and does not hold up the zooming. */
const REST_MS = 80;

/** Fetches pieces of one picture as they are wanted, newest wishes first, and keeps the decoded ones. Pieces no longer wanted are let go before they are fetched. */
export class PieceLoader {
  private readonly ready = new Map<string, ImageBitmap>();
  private readonly failed = new Set<string>();
  private readonly loading = new Map<string, AbortController>();
  private wanted: Piece[] = [];
  private zoom: number | null = null;
  private resting: ReturnType<typeof setTimeout> | null = null;
  private closed = false;

  /** @param coarse the coarsest level alone: while frames are still read, finer ones would hold up the verdict */
  constructor(private readonly host: Host, private readonly stackId: string, private readonly picture: string, private readonly coarse: boolean,
    private readonly onChange: () => void, private readonly onProblem: (message: string) => void) {}

  piece(piece: Piece): ImageBitmap | undefined { return this.ready.get(pieceKey(piece)); }

  /** @param pieces what shows, the coarsest level first: that is what there is to see meanwhile; @param zoom at which they show */
  want(pieces: Piece[], zoom: number): void {
    this.wanted = this.coarse ? pieces.filter(({ level }) => level === pieces[0].level) : pieces;
    if (zoom !== this.zoom) this.rest();
    this.zoom = zoom;
    const keys = new Set(this.wanted.map(pieceKey));
    for (const [key, controller] of this.loading) if (!keys.has(key)) controller.abort();
    this.next();
  }

  close(): void {
    this.closed = true;
    for (const controller of this.loading.values()) controller.abort();
    for (const bitmap of this.ready.values()) bitmap.close();
    this.ready.clear();
    if (this.resting !== null) clearTimeout(this.resting);
  }

  private rest(): void {
    if (this.resting !== null) clearTimeout(this.resting);
    // The first zoom of all is what the picture opens at.
    this.resting = this.zoom === null ? null : setTimeout(() => { this.resting = null; this.next(); }, REST_MS);
  }

  private next(): void {
    const coarsest = this.wanted[0]?.level;
    for (const piece of this.wanted) {
      if (this.resting !== null && piece.level !== coarsest) return;
      if (this.closed || this.loading.size >= AT_ONCE) return;
      const key = pieceKey(piece);
      if (this.ready.has(key) || this.loading.has(key) || this.failed.has(key)) continue;
      void this.load(piece, key);
    }
  }

  private async load(piece: Piece, key: string): Promise<void> {
    const controller = new AbortController();
    this.loading.set(key, controller);
    try {
      const { blob, note } = await this.host.picture({
        stackId: this.stackId, picture: this.picture, level: piece.level,
        row: piece.row * PIECE_PX, column: piece.column * PIECE_PX, rows: PIECE_PX, columns: PIECE_PX,
      }, controller.signal);
      if (note !== null && !this.closed) this.onProblem(note);
      const bitmap = await createImageBitmap(blob);
      if (this.closed) bitmap.close();
      else this.keep(key, bitmap);
    } catch (error) {
      if (!controller.signal.aborted && !this.closed) {
        this.failed.add(key);
        this.onProblem(error instanceof Error ? error.message : String(error));
      }
    } finally {
      this.loading.delete(key);
      if (!this.closed) { this.onChange(); this.next(); }
    }
  }

  private keep(key: string, bitmap: ImageBitmap): void {
    this.ready.set(key, bitmap);
    const shown = new Set(this.wanted.map(pieceKey));
    for (const [old, held] of this.ready) {
      if (this.ready.size <= MOST_PIECES) return;
      if (shown.has(old)) continue;
      held.close();
      this.ready.delete(old);
    }
  }
}
