import type { Report } from '../../src/contract/report.js';
import { isCovered, type Mended } from '../../src/optics/mended-by-top-up.js';
import { capital } from '../format/capital.js';
import { verdictFigures, verdictWords } from '../format/verdict-words.js';
import { countOf } from '../format/numbers.js';
import { ReadingProgress } from '../parts/reading-progress.js';
import { Sentence } from '../parts/sentence.js';
import { missingFrames } from '../state/report-reading.js';
import { useWindowState } from '../state/window-context.js';

const MARKS = { 'keep': '✓', 'top-up': '+', 'reshoot': '↻', 'undecided': '?' } as const;

/** May the rig come down? The answer as a sentence, before anything else. */
export function Verdict({ report, labels, mended }: { report: Report; labels: readonly string[]; mended: readonly Mended[] }) {
  const { provisional, regrading, before } = useWindowState();
  const { headline, detail } = verdictWords(report, labels);
  if (provisional) return (
    <section className="verdict" role="status" aria-label="Verdict" aria-busy="true">
      <div><h1>Leave the rig up: still reading.</h1><ReadingProgress /></div>
    </section>
  );
  return (
    <section className="verdict" data-decision={report.verdict.decision} role="status" aria-label="Verdict" aria-busy={regrading !== 'no'}>
      <div>
        {/* A rough fit must not send anybody away: the rig may come down once the fine one says so too. */}
        {regrading === 'refining' && report.verdict.decision === 'keep' ? <h1><span className="mark" aria-hidden="true">…</span> Leave the rig up a moment longer.</h1>
          : <h1><span className="mark" aria-hidden="true">{MARKS[report.verdict.decision]}</span> {headline}</h1>}
        <p><Sentence pieces={detail} /></p>
        {before && <p className="mended">{mendedWords(before, report, mended)}</p>}
        {regrading !== 'no' && <p className="refining">{regrading === 'refining' ? 'Worked out from the last fit, right to a tenth or so; fitting anew under these values…' : 'Working it out under these values…'}</p>}
      </div>
      <dl className="figures">{verdictFigures(report).map(({ value, unit }) => <div key={unit}><dd>{value}</dd><dt>{unit}</dt></div>)}</dl>
    </section>
  );
}

/** What came of shooting the missing frames, in one line; place by place it stands under Top-up. */
function mendedWords(before: Report, now: Report, mended: readonly Mended[]): string {
  const came = now.stack.frames.length - before.stack.frames.length;
  const covered = mended.filter(isCovered).length;
  if (came <= 0 && missingFrames(before) === missingFrames(now)) return 'No new frame is in the folder: nothing has changed.';
  const where = covered > 0 ? `, and ${countOf(covered, 'place is', 'places are')} covered now` : '';
  const left = missingFrames(now);
  return `${came > 0 ? `${capital(countOf(came, 'frame'))} came${where}` : 'The folder has changed'}: ${missingFrames(before)} ${missingFrames(before) === 1 ? 'was' : 'were'} missing, ${left === 0 ? 'none is' : `${left} still ${left === 1 ? 'is' : 'are'}`}.`;
}
