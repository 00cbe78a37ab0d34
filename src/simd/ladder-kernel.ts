/** What assembly/joint-solve.ts exports; addresses are byte offsets into `memory`. */
export interface LadderKernel {
  memory: WebAssembly.Memory;
  heapStart(): number;
  tryTiles(job: number, move: boolean, damping: number, keep: boolean): void;
  eliminateAgain(job: number, damping: number): void;
}

/** Compiles and starts the ladder's inner loops. @throws where the platform has no SIMD */
export async function loadLadderKernel(bytes: Uint8Array): Promise<LadderKernel> {
  const { instance } = await WebAssembly.instantiate(bytes, { env: { abort: () => { throw new Error('The ladder solve stopped.'); } } });
  return instance.exports as unknown as LadderKernel;
}
