import type { Finding, Frame, FrameFlag } from '../contract/report.js';
import { frameLabels } from '../optics/frame-labels.js';

type Words = (labels: string, many: boolean) => { message: string; remedy?: string };

const ABOUT: Partial<Record<FrameFlag, { severity: Finding['severity']; words: Words }>> = {
  blurred: { severity: 'fault', words: (l, many) => ({ message: `${l} ${many ? 'are' : 'is'} blurred by movement: fine detail is missing evenly.`, remedy: 'Let the rig settle, release by remote or timer, shorten the flash, and shoot the place again.' }) },
  repeat: { severity: 'info', words: (l, many) => ({ message: `${l} ${many ? 'show' : 'shows'} the same depth as the frame before: the rail's slack, or no move.`, remedy: 'Harmless. Take up the slack before the first frame.' }) },
  shifted: { severity: 'warn', words: (l) => ({ message: `The picture jumped sideways at ${l}: the rig or the subject was touched.`, remedy: 'Check that nothing is loose before going on. Frames are followed, so the verdict still holds.' }) },
  exposure: { severity: 'warn', words: (l, many) => ({ message: `${l} ${many ? 'are' : 'is'} exposed differently from the rest.`, remedy: 'Give the flash time to recycle; keep exposure on manual.' }) },
  unreadable: { severity: 'fault', words: (l, many) => ({ message: `${l} can't be read, so ${many ? 'they keep' : 'it keeps'} nothing sharp.`, remedy: 'Copy again from the card, or shoot again.' }) },
  'other-size': { severity: 'warn', words: (l, many) => ({ message: `${l} ${many ? 'have' : 'has'} another size than the other frames and ${many ? 'were' : 'was'} left out.`, remedy: 'Keep one stack, uncropped, in a folder.' }) },
};

/** One finding for each kind of fault, naming its frames, its reason and its remedy. */
export function faultFindings(frames: readonly Frame[], leftOut: readonly { index: number; flag: FrameFlag; reason: string }[], moved: readonly { frame: number; share: number }[]): Finding[] {
  const labels = frameLabels(frames.map((frame) => frame.file));
  const findings: Finding[] = [];
  for (const [flag, about] of Object.entries(ABOUT) as [FrameFlag, NonNullable<(typeof ABOUT)[FrameFlag]>][]) {
    const hit = frames.flatMap((frame, i) => (frame.flags.includes(flag) ? [i] : []));
    if (!hit.length) continue;
    const { message, remedy } = about.words(hit.map((i) => labels[i]).join(', '), hit.length > 1);
    const reasons = leftOut.filter((left) => left.flag === flag).map((left) => `${labels[left.index]}: ${left.reason}`);
    findings.push({ kind: flag, severity: about.severity, frames: hit, message: reasons.length ? `${message} (${reasons.join('; ')})` : message, ...(remedy ? { remedy } : {}) });
  }
  for (const { frame, share } of moved) {
    findings.push({ kind: 'subject-moved', severity: 'fault', frames: [frame], message: `Something in the picture, or its light, changed for good at ${labels[frame]}: ${Math.round(100 * share)} % of the picture.`, remedy: 'Fix the specimen, keep the light, and shoot the stack again.' });
  }
  return findings;
}
