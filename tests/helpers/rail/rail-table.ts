/** One rendered rail as measured, against the renderer's own; null: cannot tell. */
export interface RailScore { magnification: number; scale: 'optics' | 'tilt'; seed: number; stepError: number | null; slackErrorUm: number | null }

/** What issue 6 asks of every stack. */
export const MOST_STEP_ERROR = 0.02;
export const MOST_SLACK_ERROR_UM = 3;

/** The table of `npm run accuracy:rail`: a line a magnification and source of lengths. */
export function railTable(scores: readonly RailScore[]): string {
  const lines = ['            lengths from   stacks   can’t tell   step error: median   worst   slack error: median   worst   beyond 2 % or 3 µm'];
  for (const magnification of [...new Set(scores.map((score) => score.magnification))]) for (const scale of ['optics', 'tilt'] as const) {
    const some = scores.filter((score) => score.magnification === magnification && score.scale === scale);
    const steps = some.flatMap(({ stepError }) => (stepError === null ? [] : [100 * Math.abs(stepError)])).sort((a, b) => a - b);
    const slacks = some.flatMap(({ slackErrorUm }) => (slackErrorUm === null ? [] : [Math.abs(slackErrorUm)])).sort((a, b) => a - b);
    const beyond = some.filter(({ stepError, slackErrorUm }) => stepError === null || slackErrorUm === null || Math.abs(stepError) > MOST_STEP_ERROR || Math.abs(slackErrorUm) > MOST_SLACK_ERROR_UM);
    lines.push([`${magnification}×`.padStart(8), scale.padStart(16), String(some.length).padStart(9), String(some.length - steps.length).padStart(13),
      `${middle(steps)} %`.padStart(21), `${worst(steps)} %`.padStart(8), `${middle(slacks)} µm`.padStart(22), `${worst(slacks)} µm`.padStart(8), String(beyond.length).padStart(21)].join(''));
  }
  return lines.join('\n');
}

const middle = (sorted: readonly number[]): string => (sorted.length ? sorted[sorted.length >> 1].toFixed(2) : '–');
const worst = (sorted: readonly number[]): string => (sorted.length ? sorted[sorted.length - 1].toFixed(2) : '–');
