import type { Random } from '../render/random.js';
import type { Scene } from '../render/scene.js';

/** Puts mirror-like specks on the foremost surface, 4 to 60 times brighter than clipping. */
export function addGlints(scene: Scene, count: number, oversample: number, random: Random): void {
  const [light] = scene.groups[0].light;
  for (let n = 0; n < count; n++) {
    const row = random.between(4, scene.rows - 4), column = random.between(4, scene.columns - 4);
    const radius = random.between(0.5, 1.6) * oversample, level = 4 * 15 ** random.between(0, 1);
    for (let r = Math.floor(row - radius - 2); r <= row + radius + 2; r++) {
      for (let c = Math.floor(column - radius - 2); c <= column + radius + 2; c++) {
        if (r < 0 || c < 0 || r >= scene.rows || c >= scene.columns) continue;
        light[r * scene.columns + c] += level / (1 + Math.exp(5 * (Math.hypot(r - row, c - column) - radius)));
      }
    }
  }
}
