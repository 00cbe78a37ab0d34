import { fastSharpest } from './fast-usable-tiles.js';
import { randomFrom } from './statistics.js';
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
  const mixed = shuffledTiles(usable, seed), plain = Math.floor(most / 2), chosen = new Int32Array(most), rest = mixed.subarray(plain), sharpest = fastSharpest(stack, rest) ?? plainSharpest(stack, rest);
  chosen.set(mixed.subarray(0, plain));
  const groups = Array.from({ length: stack.frames }, (): number[] => []);
  for (let i = 0; i < rest.length; i++) groups[sharpest[i]].push(rest[i]);
  const filled = groups.filter((group) => group.length > 0).sort((a, b) => a.length - b.length);
  let left = most - plain, n = plain;
  filled.forEach((group, i) => {
    const share = Math.min(group.length, Math.floor(left / (filled.length - i)));
    for (let j = 0; j < share; j++) chosen[n++] = group[j];
    left -= share;
  });
  return chosen.subarray(0, n).sort();
}

/** The same order as `shuffled` gives, of plain numbers. */
function shuffledTiles(tiles: Int32Array, seed: number): Int32Array {
  const out = tiles.slice(), random = randomFrom(seed);
  for (let i = out.length - 1; i > 0; i--) { const j = Math.floor(random() * (i + 1)), kept = out[i]; out[i] = out[j]; out[j] = kept; }
  return out;
}

/** The frame in which each of some tiles is sharpest, fine and middle band together: a first guess at its depth. */
export function plainSharpest({ energy: [fine, middle], noise: [fineNoise, middleNoise], noiseFloor: [fineFloor, middleFloor], frames }: TileStack, tile: Int32Array): Int32Array {
  const out = new Int32Array(tile.length);
  for (let n = 0; n < tile.length; n++) {
    let best = -Infinity;
    for (let k = 0, i = tile[n] * frames; k < frames; k++, i++) {
      const value = (fine[i] - fineNoise[k]) / fineFloor + (middle[i] - middleNoise[k]) / middleFloor;
      if (value > best) { best = value; out[n] = k; }
    }
  }
  return out;
}
