import { shuffled } from './statistics.js';
import type { TileStack } from './tile-stack.js';

/**
 * Tiles for a solve, drawn evenly over depth: as many as possible from the depths where few lie, since a frame at the edge of the
 * subject is placed by those few, and thousands more in the middle would add nothing.
 *
 * @param usable tiles to draw from
 * @param most how many at most
 * @returns tile numbers, ascending
 */
export function chooseTiles(stack: TileStack, usable: Int32Array, most: number, seed: number): Int32Array {
  if (usable.length <= most) return usable;
  // Half of them as they come: tiles astride an edge in depth seem to lie where nothing else does, and must not take over.
  const mixed = shuffled(usable, seed), plain = Math.floor(most / 2), chosen = mixed.slice(0, plain);
  const groups = Array.from({ length: stack.frames }, (): number[] => []);
  for (const t of mixed.slice(plain)) groups[sharpestFrame(stack, t)].push(t);
  const filled = groups.filter((group) => group.length > 0).sort((a, b) => a.length - b.length);
  let left = most - plain;
  filled.forEach((group, i) => {
    const share = Math.min(group.length, Math.floor(left / (filled.length - i)));
    for (let j = 0; j < share; j++) chosen.push(group[j]);
    left -= share;
  });
  return Int32Array.from(chosen).sort();
}

/** The frame in which a tile is sharpest, fine and middle band together: a first guess at its depth. */
function sharpestFrame({ energy, noise, noiseFloor, frames }: TileStack, tile: number): number {
  let best = -Infinity, at = 0;
  for (let k = 0; k < frames; k++) {
    const value = (energy[0][tile * frames + k] - noise[0][k]) / noiseFloor[0] + (energy[1][tile * frames + k] - noise[1][k]) / noiseFloor[1];
    if (value > best) { best = value; at = k; }
  }
  return at;
}
