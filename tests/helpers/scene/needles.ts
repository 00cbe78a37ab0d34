import type { Random } from '../render/random.js';
import type { Scene } from '../render/scene.js';

/** Puts thin straight needles before a scene of one surface, each at its own sloping depth, drawn with soft edges. */
export function addNeedles(scene: Scene, count: number, near: number, far: number, oversample: number, random: Random): void {
  const size = scene.rows * scene.columns;
  const cover = new Float32Array(size), depth = new Float32Array(size).fill(near), light = new Float32Array(size);
  const behind = scene.groups[scene.groups.length - 1].depth;
  for (let n = 0; n < count; n++) {
    const start = { row: random.between(0, scene.rows), column: random.between(0, scene.columns) };
    const angle = random.between(0, 2 * Math.PI), length = random.between(60, 260) * oversample, half = random.between(0.5, 1.4) * oversample;
    const from = random.between(near, far), slope = random.between(-1.5, 1.5) / length, tone = random.pick([0.05, 0.08, 0.45, 0.6]);
    for (let along = 0; along < length; along += 0.5) {
      for (let across = -half - 1; across <= half + 1; across += 0.5) {
        const row = Math.round(start.row + along * Math.sin(angle) + across * Math.cos(angle));
        const column = Math.round(start.column + along * Math.cos(angle) - across * Math.sin(angle));
        if (row < 0 || column < 0 || row >= scene.rows || column >= scene.columns) continue;
        const i = row * scene.columns + column;
        const here = Math.max(near - 0.5, Math.min(from + slope * along, behind[i] - 0.2)); // never inside the surface
        const amount = Math.max(0, Math.min(1, half + 0.5 - Math.abs(across)));
        if (amount <= cover[i]) continue;
        cover[i] = amount;
        depth[i] = here;
        light[i] = tone * (0.8 + 0.4 * Math.sin(along / (5 * oversample)) ** 2);
      }
    }
  }
  scene.groups.unshift({ depth, light: [light], cover });
}
