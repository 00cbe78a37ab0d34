/**
 * Travel of a carriage behind a screw with play: the textbook model of backlash, a screw that moves freely between two faces.
 *
 * @param screw where the screw was turned to at each frame, in frames' worth of way
 * @param startSlack way the screw turns before the carriage first moves, 0 or more
 * @param turnSlack the same after each turn of direction, 0 or more
 * @returns the carriage's way since the first frame, same unit
 */
export function playTravel(screw: readonly number[], startSlack: number, turnSlack: number): number[] {
  const firstSense = Math.sign((screw[1] ?? 1) - (screw[0] ?? 0)) || 1;
  /** Way left until the face in the first sense is met; the other face is turnSlack from it. */
  let free = startSlack;
  let travel = 0;
  return screw.map((at, i) => {
    if (i === 0) return 0;
    const way = (at - screw[i - 1]) * firstSense;
    if (way >= 0) {
      travel += Math.max(0, way - free);
      free = Math.max(0, free - way);
    } else {
      free = Math.min(free, turnSlack);
      travel -= Math.max(0, -way - (turnSlack - free));
      free = Math.min(turnSlack, free - way);
    }
    return travel * firstSense;
  });
}
