/** What joint-solve.ts, exhaustive.ts and follow-tiles.ts in assembly/ export; addresses are byte offsets into `memory`. */
export interface LadderKernel {
  memory: WebAssembly.Memory;
  heapStart(): number;
  prepare(job: number, negligible: number): void;
  tryTiles(job: number, move: boolean, damping: number, keep: boolean): void;
  eliminateAgain(job: number, damping: number): void;
  depthTable(energy: number, perStep: number, last: number, reach: number, z: number, lowest: number, step: number, groups: number, count: number, table: number, perSquare: number): void;
  bestDepths(tiles: number, bands: number, frames: number, steps: number, groups: number, count: number, values: number, order: number, weight: number, tables: number, line: number, taken: number,
    place: number, cost: number, amplitude: number): void;
  addPlaces(energies: number, spreadBytes: number, perStep: number, last: number, reach: number, tiles: number, spread: number, depth: number, amplitude: number, weight: number,
    lowest: number, step: number, places: number, frames: number, wide: number, values: number, line: number, byPlace: number): void;
  unpackCells(codes: number, rows: number, columns: number, stride: number, out: number): void;
  unpackShares(codes: number, rows: number, columns: number, stride: number, out: number): void;
  placeTiles(gridRows: number, gridColumns: number, tilePx: number, cellPx: number, rows: number, columns: number, marginPx: number, cosine: number, sine: number, downPx: number, acrossPx: number,
    placeRow: number, placeColumn: number, inside: number): void;
  boxMeans(cells: number, rows: number, columns: number, stride: number, tiles: number, placeRow: number, placeColumn: number, edge: number, out: number): void;
}

/** Compiles and starts the ladder's inner loops. @throws where the platform has no SIMD */
export async function loadLadderKernel(bytes: Uint8Array): Promise<LadderKernel> {
  const { instance } = await WebAssembly.instantiate(bytes, { env: { abort: () => { throw new Error('The ladder solve stopped.'); } } });
  return instance.exports as unknown as LadderKernel;
}
