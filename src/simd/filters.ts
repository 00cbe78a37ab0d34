/** What filters.ts, cells.ts, code-tables.ts, jpeg.ts and spectra.ts in assembly/ export; addresses are byte offsets into `memory`. */
export interface Filters {
  memory: WebAssembly.Memory;
  heapStart(): number;
  rootLuminance(pixels: number, columns: number, channels: number, bin: number, tables: number, fromRow: number, toRow: number, outColumns: number, out: number, ring: number,
    cell: number, cellRows: number, cellColumns: number, brightness: number, clipped: number): void;
  bandScratch(columns: number, reach: number, order: number): number;
  bandRows(band: number, there: number): void;
  halve(picture: number, ring: number, rows: number, columns: number, line: number, fromRow: number, toRow: number, out: number, outRing: number): void;
  windowRows(picture: number, ring: number, columns: number, fromRow: number, toRow: number, places: number, count: number, out: number): void;
  cellTotal(sums: number, count: number): number;
  cellCodes(sums: number, cellRows: number, cellColumns: number, rows: number, columns: number, cell: number, factor: number, out: number): void;
  cellShares(sums: number, cellRows: number, cellColumns: number, rows: number, columns: number, cell: number, out: number): number;
  integerPixels(values: number, count: number, out: number): void;
  radialSpectra(windows: number, count: number, tables: number, room: number, out: number): void;
  jpegStream(from: number, end: number, ends: number, most: number): number;
  jpegCodes(table: number, dc: boolean): void;
  jpegSkips(more: number, out: number): void;
  jpegStart(job: number): void;
  jpegFill(toRow: number, out: number, ring: number, cell: number, cellRows: number, cellColumns: number, brightness: number, clipped: number): number;
}

/** Compiles and starts the filters. @throws where the platform has no SIMD */
export async function loadFilters(bytes: Uint8Array): Promise<Filters> {
  const { instance } = await WebAssembly.instantiate(bytes, { env: { abort: () => { throw new Error('The filters stopped.'); } } });
  return instance.exports as unknown as Filters;
}

/** Hands out room in a module's memory, from the bottom up; `reset` takes all of it back. */
export class Arena {
  private next: number;
  constructor(private readonly filters: Pick<Filters, 'memory' | 'heapStart'>) { this.next = filters.heapStart(); }
  reset(): void { this.next = this.filters.heapStart(); }
  /**
   * @param bytes at least 0; 64 bytes to spare follow, so that vectors may read past the end
   * @throws RangeError where the platform grants no more memory
   */
  take(bytes: number): number {
    const at = (this.next + 63) & ~63;
    this.next = at + bytes + 64;
    const { memory } = this.filters, lacking = this.next - memory.buffer.byteLength;
    if (lacking > 0) memory.grow(Math.ceil(lacking / 65536));
    return at;
  }
}
