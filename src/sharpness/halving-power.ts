const DIRECTIONS = 8;

/**
 * Power that the halving filter leaves of a frequency after some halvings, averaged over directions: cos⁶(πf2ˡ) on each axis and level (image/halve.ts).
 *
 * @param level halvings
 * @param frequency cycles per pixel before the first
 */
export function halvingPower(level: number, frequency: number): number {
  let sum = 0;
  for (let i = 0; i < DIRECTIONS; i++) {
    const angle = ((i + 0.5) / DIRECTIONS) * (Math.PI / 2), row = Math.PI * frequency * Math.sin(angle), column = Math.PI * frequency * Math.cos(angle);
    let gain = 1;
    for (let l = 0; l < level; l++) gain *= (Math.cos(row * 2 ** l) * Math.cos(column * 2 ** l)) ** 3;
    sum += gain * gain;
  }
  return sum / DIRECTIONS;
}
