/** What assembly/coarse.ts exports; addresses are byte offsets into `memory`. */
export interface CoarseKernel {
  memory: WebAssembly.Memory;
  heapStart(): number;
  transform(re: number, im: number, rows: number, columns: number, factors: number, room: number, inverse: boolean): void;
  correlate(re: number, im: number, refRe: number, refIm: number, passRow: number, passColumn: number, rows: number, columns: number, oppositeRow: number, oppositeColumn: number): void;
  fill(pixels: number, rows: number, columns: number, taperRow: number, taperColumn: number, plane: number, planeRows: number, planeColumns: number): void;
  highest(values: number, count: number): number;
}

/** Compiles and starts it. @throws where the platform has no SIMD */
export async function loadCoarseKernel(bytes: Uint8Array): Promise<CoarseKernel> {
  const { instance } = await WebAssembly.instantiate(bytes, { env: { abort: () => { throw new Error('The registration stopped.'); } } });
  return instance.exports as unknown as CoarseKernel;
}
