/** Runs at most `places` jobs at a time, the rest in the order they came. */
export function takeTurns(places: number): <T>(job: () => Promise<T>) => Promise<T> {
  let free = places;
  const waiting: (() => void)[] = [];
  return async (job) => {
    if (free > 0) free--;
    else await new Promise<void>((resolve) => waiting.push(resolve));
    try {
      return await job();
    } finally {
      const next = waiting.shift();
      if (next) next();
      else free++;
    }
  };
}
