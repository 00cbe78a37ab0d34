import { defocusedOtf } from '../../../src/optics/defocused-otf.js';
import { cutoffPerPixel, depthUnitUm, type Lens } from '../render/lens.js';
import type { Scene } from '../render/scene.js';
import type { PlannedStack, StackFaults } from './planned-stack.js';

/** What is really so, written beside each rendered stack. Lengths in µm, shares 0…1 of the picture. */
export interface StackTruth extends StackFaults {
  name: string;
  frames: string[];
  /** Plane of focus of each frame in file order, from the nearest, growing away from the camera. */
  positionsUm: number[];
  /** File indices from near to far. */
  depthOrder: number[];
  stepsUm: number[];
  /** λ/NA², the unit steps are compared in. */
  dofUm: number;
  /** Share of the picture inside each interval and further than half a DOF of the 0.8-contrast standard from both frames. */
  softShare: number[];
  /** Share of the picture whose surface lies in each interval. */
  surfaceShare: number[];
  nearShare: number;
  farShare: number;
  open?: 'near' | 'far' | 'both';
  magnification?: number;
  fNumber?: number;
  pupilRatio?: number;
  pixelPitchUm: number;
  pupilToSubjectUm: number;
  harmless: number[];
  harmful: number[];
}

/** Surfaces farther than this behind the last frame are ground, not subject: nothing of theirs was ever to be sharp. */
const GROUND_BEYOND = 15;
const GAP = 1.15, HARMFUL_SHARE = 0.005, HARMLESS_SHARE = 0.002, OPEN_SHARE = 0.02;

export function stackTruth(stack: PlannedStack, files: string[]): StackTruth {
  const unit = depthUnitUm(stack.lens);
  const focus = stack.frames.map((f) => f.pose.focus);
  const order = focus.map((_, i) => i).sort((a, b) => focus[a] - focus[b] || a - b);
  const sorted = order.map((i) => focus[i]);
  const lens = { ...stack.lens, pixelPitchUm: stack.lens.pixelPitchUm * (stack.shrink ?? 1) };
  const half = halfStandardDof(lens);
  const soft = new Float64Array(sorted.length - 1), inside = new Float64Array(sorted.length - 1);
  let near = 0, far = 0, count = 0;
  for (const depth of pictureDepths(stack.scenes[0], stack.picture)) {
    count++;
    if (depth < sorted[0] - half) near++;
    else if (depth > sorted[sorted.length - 1] + half && depth < sorted[sorted.length - 1] + GROUND_BEYOND) far++;
    const k = intervalOf(sorted, depth);
    if (k < 0) continue;
    inside[k]++;
    if (depth - sorted[k] > half && sorted[k + 1] - depth > half) soft[k]++;
  }
  const steps = sorted.slice(1).map((z, k) => z - sorted[k]);
  const softShare = [...soft].map((n) => n / count);
  const nearShare = near / count, farShare = far / count;
  const open = nearShare > OPEN_SHARE && farShare > OPEN_SHARE ? 'both' : nearShare > OPEN_SHARE ? 'near' : farShare > OPEN_SHARE ? 'far' : undefined;
  const gaps = steps.flatMap((s, k) => (s > GAP ? [k] : []));
  return {
    name: stack.name, frames: files,
    positionsUm: focus.map((z) => (z - sorted[0]) * unit), depthOrder: order, stepsUm: steps.map((s) => s * unit), dofUm: unit,
    softShare, surfaceShare: [...inside].map((n) => n / count), nearShare, farShare, ...(open ? { open } : {}),
    ...(stack.opticsKnown ? { magnification: stack.lens.magnification, fNumber: stack.lens.fNumber, pupilRatio: stack.lens.pupilRatio } : {}),
    pixelPitchUm: lens.pixelPitchUm, pupilToSubjectUm: stack.lens.pupilToSubjectUm,
    harmless: gaps.filter((k) => softShare[k] < HARMLESS_SHARE), harmful: gaps.filter((k) => softShare[k] >= HARMFUL_SHARE),
    ...stack.faults,
  };
}

/** Half the depth, in λ/NA², over which the reference detail keeps 0.8 of its contrast (optics-reference, the standard). */
export function halfStandardDof(lens: Lens): number {
  const cutoff = cutoffPerPixel(lens);
  const s = Math.min(0.3, 0.25 / cutoff);
  let low = 0, high = 4;
  while (high - low > 1e-6) {
    const middle = (low + high) / 2;
    if (defocusedOtf(s, middle) > 0.8 * defocusedOtf(s, 0)) low = middle; else high = middle;
  }
  return 2 * low; // Δz = 2W in units of λ/NA²
}

/** Depth of the foremost surface at every second pixel and row of the picture as the scene's own frame shows it. */
export function* pictureDepths(scene: Scene, picture: { rows: number; columns: number }): Generator<number> {
  const top = (scene.rows - picture.rows * scene.oversample) / 2, left = (scene.columns - picture.columns * scene.oversample) / 2;
  for (let row = 0; row < picture.rows; row += 2) {
    for (let column = 0; column < picture.columns; column += 2) {
      const i = Math.floor(top + row * scene.oversample) * scene.columns + Math.floor(left + column * scene.oversample);
      yield scene.groups.find((g) => !g.cover || g.cover[i] >= 0.5)!.depth[i];
    }
  }
}

function intervalOf(sorted: number[], depth: number): number {
  for (let k = 0; k + 1 < sorted.length; k++) if (depth >= sorted[k] && depth < sorted[k + 1]) return k;
  return -1;
}
