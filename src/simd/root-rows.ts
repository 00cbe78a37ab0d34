/** Where rows of √luminance go in the filters' memory, row r at r modulo `ring`, and the f64 cells that their sum and the number of clipped pixels are added to. */
export interface RootTarget { out: number; ring: number; cellPx: number; cellRows: number; cellColumns: number; sums: number; clips: number }

/** A picture that gives its measured pixels as √luminance, from top to bottom, as they are asked for. */
export interface RootRows {
  /** Measured pixels. */
  rows: number;
  columns: number;
  /**
   * Makes rows up to `toRow` at least, which grows from call to call; the last call asks for all.
   * @returns rows that are there
   */
  fill(toRow: number, target: RootTarget): number;
}
