/** One frame's pixels at a level: 8-bit sRGB, three channels, row by row. Level 0 is every pixel; each further level halves both sides. */
export interface PixelLevel { rows: number; columns: number; pixels: Uint8Array }

/** Size of a level: halved that often, rounded up, at least 1. */
export function levelSize(rows: number, columns: number, level: number): { rows: number; columns: number } {
  const scale = 2 ** level;
  return { rows: Math.max(1, Math.ceil(rows / scale)), columns: Math.max(1, Math.ceil(columns / scale)) };
}
