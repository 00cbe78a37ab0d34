/** Work that has not come to an end in the time it was given; it can't be stopped. */
export class TookTooLongError extends Error {
  constructor(afterMs: number) { super(`no answer for ${Math.round(afterMs / 1000)} s`); this.name = 'TookTooLongError'; }
}

/**
 * What the work comes to, or TookTooLongError after so many milliseconds.
 * @param work already begun
 */
export async function inTime<T>(work: Promise<T>, patienceMs: number): Promise<T> {
  let timer: NodeJS.Timeout | undefined;
  const late = new Promise<never>((_, reject) => { timer = setTimeout(() => reject(new TookTooLongError(patienceMs)), patienceMs); });
  try {
    return await Promise.race([work, late]);
  } finally {
    clearTimeout(timer);
  }
}
