import type { Finding } from '../contract/report.js';
import { FOUND, type LightMatch } from '../registration/compare-light.js';
import type { FrameGroups } from '../registration/group-frames.js';
import { pauseText, type CapturePause } from './capture-pause.js';
import { runText } from './run-text.js';

/** A folder as its pictures' light shows it. */
export interface FolderLook extends FrameGroups {
  /** Number in the report of each frame that `group` and `move` are about. */
  frames: readonly number[];
  /** Short names of all frames of the report. */
  labels: readonly string[];
  pause: CapturePause | null;
  /** Frames left out for their size. */
  otherSize: readonly number[];
  /** How much larger each frame should be than the one before it in the list, by its place along the rail (ln); null where unknown. */
  expectedLnScale: readonly (number | null)[];
}

/** A group of fewer frames is no stack but strangers in one. */
const LEAST_STACK = 4;
/** Share of the picture that all frames must show for an answer about the picture. */
export const LEAST_COMMON = 0.55;
/** A move of this share is named as a place where the picture jumped. */
const NAMED_MOVE = 0.12;
/** Another size that the rail does not explain, ln: a tenth, at a precision of 4 %. */
const JUMP = 0.06;
/** From this share of frames of another size the folder could be either stack. */
const MANY_OTHER_SIZE = 0.2, LEAST_OTHER_SIZE = 3;

/** Why the frames can't be one stack from one place, as the verdict's reason; null where nothing speaks against it. */
export function folderDoubt(look: FolderLook): Finding | null {
  return otherSizes(look) ?? otherSubjects(look) ?? otherMagnification(look) ?? sideways(look);
}

function otherSizes({ otherSize, frames, labels }: FolderLook): Finding | null {
  if (otherSize.length < Math.max(LEAST_OTHER_SIZE, MANY_OTHER_SIZE * (frames.length + otherSize.length))) return null;
  return fault('two-sizes', otherSize, `${runText(otherSize, labels)} have another size than the other ${frames.length} frames, and they are too many to be left out: cropped frames, or another stack.`,
    'Export all frames alike and uncropped, or move one kind into a folder of its own, and check again.');
}

function otherSubjects({ group, frames, labels, pause }: FolderLook): Finding | null {
  const members = byGroup(group, frames).sort((a, b) => b.length - a.length);
  if (members.length < 2) return null;
  const stacks = members.filter((some) => some.length >= LEAST_STACK).sort((a, b) => a[0] - b[0]);
  if (stacks.length >= 2) {
    const [first, second] = stacks, atPause = pause !== null && sameFrames(pause.after, second) ? `, shot ${pauseText(pause.seconds)} later` : '';
    return fault('two-subjects', [first[first.length - 1], second[0]],
      `The folder holds ${stacks.length === 2 ? 'two' : stacks.length} stacks: ${runText(first, labels)} show one subject or place, ${runText(second, labels)} another${atPause}${stacks.length > 2 ? ', and so on' : ''}.`,
      `Move ${runText(second, labels)} into a folder of their own, and check each.`);
  }
  const strangers = members.slice(1).flat().sort((a, b) => a - b);
  if (members[0].length < LEAST_STACK || strangers.length > 0.5 * members[0].length) {
    return fault('two-subjects', strangers, `The frames show ${members.length} different things or places: they are no one stack.`, 'Choose a folder that holds the frames of one stack, all of one place.');
  }
  return fault('two-subjects', strangers, `${runText(strangers, labels)} ${strangers.length === 1 ? 'shows' : 'show'} something else than the other ${members[0].length} frames.`,
    `Move ${strangers.length === 1 ? 'it' : 'them'} out of the folder, and check again.`);
}

function otherMagnification({ move, frames, labels, expectedLnScale }: FolderLook): Finding | null {
  const jumps = move.flatMap((match, k) => (match && match.lnScale !== 0 && match.likeness >= FOUND && Math.abs(match.lnScale - (expectedLnScale[k] ?? 0)) > JUMP ? [k] : []));
  // Where the size goes there and back, the frames that went there are the ones to name.
  const there = jumps.filter((k) => move[k]!.lnScale * move[jumps[0]]!.lnScale > 0);
  return there.length ? magnificationJump(there.map((k) => frames[k]), labels, move[there[0]]!.lnScale) : null;
}

/** @param from first frames in another size than the one before; @param lnScale how much larger the first of them shows the subject */
export function magnificationJump(from: readonly number[], labels: readonly string[], lnScale: number): Finding {
  const percent = 100 * Math.abs(Math.exp(lnScale) - 1), size = `about ${percent < 10 ? percent.toFixed(1) : Math.round(percent)} %`;
  return fault('magnification-jump', from,
    `At ${runText(from.slice(0, 3), labels)} the picture is ${size} ${lnScale > 0 ? 'larger' : 'smaller'} than in the frame before: a zoom or focus ring was turned, or frames were cropped. Depth of field changed with it, so the frames are no one stack.`,
    'Put the setting back and shoot those frames again, or move them into a folder of their own and check each.');
}

function sideways({ group, move, frames, labels }: FolderLook): Finding | null {
  let row = 0, column = 0;
  const range = { top: 0, bottom: 0, left: 0, right: 0 }, jumps: number[] = [];
  move.forEach((match, k) => {
    if (!match || match.lnScale !== 0 || group[k] !== group[0]) return;
    row += match.row; column += match.column;
    if (Math.max(Math.abs(match.row), Math.abs(match.column)) >= NAMED_MOVE) jumps.push(k);
    range.top = Math.min(range.top, row); range.bottom = Math.max(range.bottom, row);
    range.left = Math.min(range.left, column); range.right = Math.max(range.right, column);
  });
  const common = Math.max(0, 1 - (range.bottom - range.top)) * Math.max(0, 1 - (range.right - range.left));
  return common < LEAST_COMMON ? littleInCommon(common, jumps.map((k) => frames[k]), labels, farthest(jumps.map((k) => move[k]!))) : null;
}

/** @param common share of the picture that all frames show; @param jumps frames before which the picture moved, by `share` at most */
export function littleInCommon(common: number, jumps: readonly number[], labels: readonly string[], share: number): Finding {
  const where = jumps.length ? `: at ${runText(jumps.slice(0, 3), labels)}${jumps.length > 3 ? ` and ${jumps.length - 3} more` : ''} it moved sideways by up to ${Math.round(100 * share)} %` : ', since it drifts sideways';
  return fault('sideways', jumps, `Only ${Math.round(100 * common)} % of the picture lies in all frames${where}. Parts of a panorama, or a subject that was moved, are no one stack.`,
    'Give each part of a panorama a folder of its own and check each; or shoot the stack again with camera and subject fixed.');
}

function farthest(moves: readonly LightMatch[]): number { return moves.reduce((most, { row, column }) => Math.max(most, Math.abs(row), Math.abs(column)), 0); }

function byGroup(group: readonly number[], frames: readonly number[]): number[][] {
  const members: number[][] = [];
  group.forEach((g, k) => { (members[g] ??= []).push(frames[k]); });
  return members;
}

function sameFrames(a: readonly number[], b: readonly number[]): boolean { return a.length === b.length && a.every((k) => b.includes(k)); }

/** With its remedy in the message: as the verdict's reason it is read alone. */
function fault(kind: string, frames: readonly number[], message: string, remedy: string): Finding { return { kind, severity: 'fault', frames: [...frames], message: `${message} ${remedy}` }; }
