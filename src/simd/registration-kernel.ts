/** What register.ts and robust-fit.ts in assembly/ export; addresses are byte offsets into `memory`. */
export interface RegistrationKernel {
  memory: WebAssembly.Memory;
  heapStart(): number;
  start(tables: number, count: number): void;
  windowSpectra(picture: number, columns: number, windows: number, count: number, room: number, out: number): void;
  robustFit(values: number, count: number, room: number, out: number): void;
  phaseShifts(questions: number, count: number, room: number, out: number): void;
}

/** Compiles and starts it. @throws where the platform has no SIMD */
export async function loadRegistrationKernel(bytes: Uint8Array): Promise<RegistrationKernel> {
  const { instance } = await WebAssembly.instantiate(bytes, { env: { abort: () => { throw new Error('The registration stopped.'); } } });
  return instance.exports as unknown as RegistrationKernel;
}
