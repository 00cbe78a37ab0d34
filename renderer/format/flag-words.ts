import type { FrameFlag } from '../../src/contract/report.js';

/** What a flag means and what to do about it, where the report has no finding of its own for it. */
export const FLAG_WORDS: Record<FrameFlag, { name: string; reason: string; remedy: string }> = {
  'blurred': { name: 'blurred', reason: 'Less sharp than its neighbours say it should be, so its depth does not count as covered.', remedy: 'Shoot it again; wait longer after the rail has moved.' },
  'repeat': { name: 'repeat', reason: 'Lies at nearly the same depth as its neighbour.', remedy: 'Nothing to do: it does no harm.' },
  'shifted': { name: 'shifted', reason: 'The picture jumped sideways here.', remedy: 'Check that nothing was knocked; align with care.' },
  'exposure': { name: 'exposure', reason: 'Brighter or darker than its neighbours.', remedy: 'Let the flash recycle fully before each frame.' },
  'subject-moved': { name: 'subject moved', reason: 'Part of the subject changed from here on.', remedy: 'Look at the place; shoot again if the part matters.' },
  'no-detail': { name: 'no detail', reason: 'Nothing in this frame is in focus.', remedy: 'It may lie beyond the subject; it does no harm there.' },
  'unreadable': { name: 'unreadable', reason: 'The file can’t be decoded.', remedy: 'Copy it again from the card.' },
  'other-size': { name: 'other size', reason: 'Its size differs from the other frames, so it was left out.', remedy: 'Export all frames alike.' },
};
