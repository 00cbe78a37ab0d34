import type { Grade, Report, Step } from '../contract/report.js';
import { CLEARANCE_CAUTION, ROOM_REMINDER } from './cautions.js';
import { frameLabels } from './frame-labels.js';
import { lengthText } from './number-text.js';

/** What to say after a frame, readable from two metres: one word, one number, one line. */
export interface WatchAdvice {
  word: string;
  /** The last step, in µm and DOF; empty where it could not be measured: a figure beside "cannot tell" would be taken for one. */
  figure: string;
  line: string;
  /** Which of the sounds fits; null: none. */
  sound: Exclude<Grade, 'unmeasured'> | null;
  /** Said wherever the advice moves the camera: in a line after every frame, in full where it goes back and forth. */
  caution: string | null;
}

/** From fewer frames a step comes out rough: by a fifth and more on rendered stacks. */
const LEAST_FRAMES = 5;

/**
 * Whether to go on, go back or take shorter steps, from the step that the newest frame made.
 *
 * @param newest file name of the newest frame, or null
 */
export function watchAdvice(report: Report, newest: string | null): WatchAdvice {
  const { frames } = report.stack;
  const index = frames.findIndex((frame) => frame.file === newest);
  const labels = frameLabels(frames.map((frame) => frame.file));
  if (index < 0) return { word: 'Waiting.', figure: '', line: 'The next frame is looked at as soon as it is written.', sound: null, caution: null };
  const few = frames.filter((frame) => frame.positionDof !== null).length < LEAST_FRAMES;
  // Whether a frame is blurred shows against its neighbours; two or three are no measure.
  if (frames[index].flags.includes('blurred') && !few) return { word: 'Again.', figure: '', line: `${labels[index]} is blurred: wait for the rig to settle and shoot it once more, without moving.`, sound: 'gap', caution: null };
  const touching = report.steps.filter((step) => step.from === index || step.to === index);
  if (touching.length === 0) return { word: 'Go on.', figure: '', line: `${labels[index]} is the first frame.`, sound: null, caution: CLEARANCE_CAUTION };
  const advice = adviceFor(worstOf(touching), labels, report.optics.dofUm.value);
  return few && advice.figure !== '' ? { ...advice, line: `${advice.line} The figure is rough until ${LEAST_FRAMES} frames are there.` } : advice;
}

const GRAVITY: Record<Grade, number> = { gap: 3, unmeasured: 2, thin: 1, good: 0 };

function worstOf(steps: readonly Step[]): Step {
  return steps.reduce((worst, step) => (GRAVITY[step.grade] > GRAVITY[worst.grade] ? step : worst));
}

function adviceFor(step: Step, labels: readonly string[], dofUm: number | null): WatchAdvice {
  const between = `${labels[step.from]} and ${labels[step.to]}`;
  const length = (dof: number): string => (dofUm === null ? `${dof.toFixed(1)} DOF` : lengthText(dof * dofUm, 'glance'));
  const dof = step.stepDof;
  const figure = dof === null ? '' : dofUm === null ? `${dof.toFixed(2)} DOF` : `${length(dof)}, or ${dof.toFixed(1)} DOF`;
  switch (step.grade) {
    case 'good': return { word: 'Go on.', figure, line: `The step between ${between} overlaps well.`, sound: 'good', caution: ROOM_REMINDER };
    case 'thin': return { word: 'Shorter steps.', figure, line: `${between} only just meet: nothing is lost, but the next step should be shorter.`, sound: 'thin', caution: ROOM_REMINDER };
    case 'gap': return { word: 'Go back.', figure, line: `${length((dof ?? 1) - 1)} between ${between} are in no frame. Go back past the place, come on again to the middle, shoot.`, sound: 'gap', caution: CLEARANCE_CAUTION };
    case 'unmeasured': return { word: 'Cannot tell.', figure: '', line: `Too little is in focus to measure the step between ${between}. Go on if the subject has no surface there.`, sound: null, caution: ROOM_REMINDER };
  }
}
