import type { Report } from '../../src/contract/report.js';
import { verdictFigures, verdictWords } from '../format/verdict-words.js';
import { ReadingProgress } from '../parts/reading-progress.js';
import { Sentence } from '../parts/sentence.js';
import { missingFrames } from '../state/report-reading.js';
import { useWindowState } from '../state/window-context.js';

const MARKS = { 'keep': '✓', 'top-up': '+', 'reshoot': '↻', 'undecided': '?' } as const;

/** May the rig come down? The answer as a sentence, before anything else. */
export function Verdict({ report, labels }: { report: Report; labels: readonly string[] }) {
  const { provisional, regrading, before, phase } = useWindowState();
  const { headline, detail } = verdictWords(report, labels);
  const mended = before && !provisional ? missingFrames(before) - missingFrames(report) : null;
  return (
    <section className="verdict" data-decision={report.verdict.decision} role="status" aria-label="Verdict" aria-busy={provisional || regrading}>
      <div>
        <h1><span className="mark" aria-hidden="true">{MARKS[report.verdict.decision]}</span> {provisional ? 'So far: ' : ''}{headline}</h1>
        <p><Sentence pieces={detail} /></p>
        {mended !== null && <p className="mended">{mended > 0 ? `The new frames mended it: ${missingFrames(before!)} were missing, now ${missingFrames(report)}.` : 'The new frames changed nothing that was missing.'}</p>}
        {phase === 'analysing' && <ReadingProgress />}
      </div>
      <dl className="figures">{verdictFigures(report).map(({ value, unit }) => <div key={unit}><dd>{value}</dd><dt>{unit}</dt></div>)}</dl>
    </section>
  );
}
