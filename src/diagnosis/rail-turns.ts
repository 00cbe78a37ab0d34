/**
 * Frames at which a rail turned back, from the positions in the order they were shot.
 *
 * @param position any unit, one a frame
 * @param least a way back counts from this length
 * @returns indices of the outermost frames before each turn; none where the stack goes one way
 */
export function railTurns(position: readonly number[], least: number): number[] {
  const turns: number[] = [];
  let sense = 0, extreme = 0, start = 0;
  for (let k = 1; k < position.length; k++) {
    if (sense === 0) {
      if (Math.abs(position[k] - position[start]) >= least) { sense = Math.sign(position[k] - position[start]); extreme = k; }
      continue;
    }
    if ((position[k] - position[extreme]) * sense > 0) extreme = k;
    else if ((position[extreme] - position[k]) * sense >= least) {
      turns.push(extreme);
      start = extreme;
      sense = -sense;
      extreme = k;
    }
  }
  return turns;
}

/**
 * Screw positions in frames' worth of way: forward by one a move, the other way after each turn.
 *
 * @param shot moves before each frame, from 0
 */
export function screwPositions(shot: readonly number[], turns: readonly number[]): number[] {
  const out: number[] = [];
  let at = 0, sense = 1, next = 0;
  for (let k = 0; k < shot.length; k++) {
    if (k > 0) at += sense * (shot[k] - shot[k - 1]);
    out.push(at);
    if (k === turns[next]) { sense = -sense; next++; }
  }
  return out;
}
