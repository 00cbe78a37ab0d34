/** What joint-solve.ts, exhaustive.ts, follow-tiles.ts, look-around.ts, focus-curve.ts, windows.ts, shared-errors.ts, tile-stack.ts, look-at-folder.ts, usable-tiles.ts, solve-entries.ts and whole-picture.ts in assembly/ export; addresses are byte offsets into `memory`. */
export interface LadderKernel {
  memory: WebAssembly.Memory;
  heapStart(): number;
  prepare(job: number, negligible: number): void;
  tryTiles(job: number, move: boolean, damping: number, keep: boolean): void;
  eliminateAgain(job: number, damping: number): void;
  depthTable(energy: number, perStep: number, last: number, reach: number, z: number, lowest: number, step: number, groups: number, count: number, table: number, perSquare: number): void;
  takeAmplitudes(energy: number, tile: number, first: number, count: number, frames: number, noise: number, least: number, modelSquare: number, amplitude: number, weight: number): void;
  bestDepths(tiles: number, bands: number, frames: number, steps: number, groups: number, count: number, values: number, order: number, weight: number, spreads: number, tables: number, kinds: number, line: number, taken: number,
    place: number, cost: number, amplitude: number): void;
  addPlaces(energies: number, spreadBytes: number, perStep: number, last: number, reach: number, tiles: number, spread: number, depth: number, amplitude: number, weight: number,
    lowest: number, step: number, places: number, frames: number, wide: number, values: number, line: number, byPlace: number): void;
  unpackCells(codes: number, rows: number, columns: number, stride: number, out: number): void;
  unpackShares(codes: number, rows: number, columns: number, stride: number, out: number): void;
  placeTiles(gridRows: number, gridColumns: number, tilePx: number, cellPx: number, rows: number, columns: number, marginPx: number, cosine: number, sine: number, downPx: number, acrossPx: number,
    placeRow: number, placeColumn: number, inside: number): void;
  uprightMeans(cells: number, rows: number, columns: number, stride: number, gridRows: number, gridColumns: number, placeRow: number, placeColumn: number, edge: number, work: number, out: number): void;
  boxMeans(cells: number, rows: number, columns: number, stride: number, tiles: number, placeRow: number, placeColumn: number, edge: number, out: number): void;
  takeLogs(values: number, count: number, least: number): void;
  unmarkAbove(values: number, count: number, most: number, marks: number): void;
  seenDepths(map: number, variance: number, bands: number, windows: number, shown: number, asked: number, count: number, spread: number, bend: number): void;
  otherShares(depth: number, rows: number, columns: number, asked: number, count: number, reach: number, limit: number, out: number): void;
  localMeans(tile: number, count: number, rows: number, columns: number, depth: number, bands: number, own: number, reach: number, limit: number, least: number, place: number, near: number,
    mean: number, enough: number): void;
  curveSums(squared: number, s: number, weights: number, frequencies: number, count: number, sharp: number, kinship: number): number;
  otfSquares(shares: number, twices: number, lines: number, nodes: number, count: number, out: number): void;
  leak(edge: number, offsets: number, power: number, count: number, parts: number, radii: number, out: number): void;
  spreadOut(curve: number, count: number, weight: number, reach: number, stride: number, room: number, out: number): void;
  sharpen(leakage: number, rings: number, radii: number, some: number, count: number, measured: number, rounds: number, least: number, spectrum: number, room: number): void;
  addWindows(frame: number): number;
  addShared(job: number): void;
  takeOutExposure(change: number, inside: number, tiles: number, frames: number, stride: number, room: number, light: number, gain: number): number;
  scaleFrames(values: number, tiles: number, frames: number, factor: number): void;
  trustFrom(change: number, inside: number, tiles: number, frames: number, stride: number, room: number, factor: number, least: number, trust: number): void;
  byTile(read: number, frames: number, tiles: number, out: number): void;
  unlikeness(lines: number, count: number, frames: number, out: number): void;
  blockMeans(codes: number, rows: number, columns: number, down: number, across: number, out: number): void;
  leastAndLargest(codes: number, count: number, least: number, largest: number): void;
  quietBlocks(fine: number, gridRows: number, gridColumns: number, frames: number, edge: number, q: number, room: number): number;
  outline(light: number, inside: number, rows: number, columns: number, darker: number, reach: number, room: number, ground: number, rim: number): void;
  markRising(energy: number, noise: number, count: number, frames: number, most: number, tiles: number, mark: number): void;
  keepSteady(energy: number, noise: number, trust: number, frames: number, tile: number, count: number, rim: number, least: number, out: number): number;
  growMask(mask: number, rows: number, columns: number, out: number): void;
  sharpestFrames(fine: number, middle: number, fineNoise: number, middleNoise: number, fineFloor: number, middleFloor: number, frames: number, tile: number, count: number, out: number): void;
  withoutPadding(from: number, range: number, lines: number, wide: number, frames: number, out: number): void;
  coupled(system: number, tileBytes: number, lanes: number, slots: number, reach: number, tiles: number, own: number, wide: number, frames: number, unknowns: number, coupling: number, normal: number): void;
  blockMoves(robust: number, byZ: number, byLn: number, residual: number, bands: number, tiles: number, frames: number, block: number, blocks: number, free: number, freeCount: number, inverse: number,
    factor: number, score: number, moves: number): void;
  nearRatios(job: number, perStep: number, reach: number, relied: number, trusted: number, nearEnergy: number, settle: boolean): void;
  farRatio(job: number, perStep: number, far: number, chance: number, shape: number, relied: number, trusted: number, weak: number, least: number): number;
  tilesNear(z: number, frames: number, depth: number, spread: number, trust: number, tiles: number, least: number, reach: number, near: number, squares: number): void;
  blockBrightness(change: number, inside: number, gridRows: number, gridColumns: number, frames: number, edge: number, out: number): number;
  changedBlocks(blocks: number, count: number, frames: number, frame: number, n: number, step: number, constant: number, depth: number, allowed: number, clear: number): number;
  addExplained(energy: number, robust: number, residual: number, sigma: number, tiles: number, frames: number, weight: number, peak: number, noise: number, sums: number): void;
}

/** Compiles and starts the ladder's inner loops. @throws where the platform has no SIMD */
export async function loadLadderKernel(bytes: Uint8Array): Promise<LadderKernel> {
  const { instance } = await WebAssembly.instantiate(bytes, { env: { abort: () => { throw new Error('The ladder solve stopped.'); } } });
  return instance.exports as unknown as LadderKernel;
}
