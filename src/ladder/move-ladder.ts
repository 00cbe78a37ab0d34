import type { LadderState } from './joint-solve.js';

/** Moves every frame by its own share (DOF), and the tiles' depths with the frames on either side of them; beyond the ladder's ends with its last frame. */
export function moveLadder(state: Pick<LadderState, 'z' | 'depth'>, by: Float64Array): void {
  const order = Array.from(by.keys()).sort((a, b) => state.z[a] - state.z[b]), z = order.map((k) => state.z[k]), moved = order.map((k) => by[k]), last = order.length - 1;
  state.depth.forEach((depth, t) => {
    let above = 0;
    while (above <= last && z[above] <= depth) above++;
    if (above === 0 || above > last) { state.depth[t] = depth + moved[Math.min(above, last)]; return; }
    const share = (depth - z[above - 1]) / (z[above] - z[above - 1]);
    state.depth[t] = depth + moved[above - 1] + share * (moved[above] - moved[above - 1]);
  });
  by.forEach((v, k) => { state.z[k] += v; });
}
