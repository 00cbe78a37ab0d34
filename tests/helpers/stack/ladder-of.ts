import type { Random } from '../render/random.js';

export interface LadderSpec {
  /** Usual step in λ/NA². */
  step: number;
  /** Relative scatter of the steps (standard deviation). */
  scatter: number;
  frames: number;
  /** Length of some steps, by interval. */
  gaps: Record<number, number>;
}

/** Focus positions from 0, near to far. */
export function ladderOf(spec: LadderSpec, random: Random): number[] {
  const positions = [0];
  for (let k = 0; k + 1 < spec.frames; k++) {
    const step = spec.gaps[k] ?? spec.step * (1 + spec.scatter * Math.max(-2, Math.min(2, random.normal())));
    positions.push(positions[k] + step);
  }
  return positions;
}
