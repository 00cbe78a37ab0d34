/** Frame numbers in the order of their positions, ascending. */
export function orderAlong(z: ArrayLike<number>): number[] {
  return Array.from({ length: z.length }, (_, k) => k).sort((a, b) => z[a] - z[b]);
}
