import type { Report } from '../contract/report.js';

const WORDS = ['no', 'one', 'two', 'three', 'four', 'five', 'six', 'seven', 'eight', 'nine', 'ten', 'eleven', 'twelve'];

/** What to do with the rig, in one sentence for somebody tired with a hand on it: the same words on every screen and page. */
export function verdictHeadline(report: Report): string {
  switch (report.verdict.decision) {
    case 'keep': return 'The rig may come down: every depth of the subject is sharp in some frame.';
    case 'top-up': {
      const missing = missingFrames(report);
      return missing === 0 ? 'Leave the rig up: frames are missing.' : `Leave the rig up: ${WORDS[missing] ?? missing} ${missing === 1 ? 'frame is' : 'frames are'} missing.`;
    }
    case 'reshoot': return `Shoot this stack again: ${missingFrames(report) > report.stack.frames.length ? 'more frames are missing than were shot' : 'it can’t be mended by adding frames'}.`;
    case 'undecided': return 'Cannot tell. Leave the rig up.';
  }
}

const missingFrames = (report: Report): number => report.topUp.reduce((sum, entry) => sum + entry.frames, 0);
