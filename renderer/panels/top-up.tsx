import { useState } from 'react';
import type { Decision, Report } from '../../src/contract/report.js';
import { isClearance, reportCautions } from '../../src/optics/cautions.js';
import { isCovered, mendedText, type Mended } from '../../src/optics/mended-by-top-up.js';
import { topUpMoves } from '../../src/optics/top-up-moves.js';
import { keptTogether } from '../format/kept-together.js';
import { inWindowWords } from '../format/window-words.js';
import { rigValue } from '../state/rig-fields.js';
import { useStore, useWindowState } from '../state/window-context.js';

/** Said where no move was worked out. */
const NOTHING_TO_ADD: Record<Decision, string> = {
  'keep': 'Nothing to add.', 'top-up': 'Nothing to add.', 'undecided': 'What is missing, if anything, could not be told: the verdict says what would help.', 'reshoot': 'Nothing is added to a stack that is shot anew.',
};

/** What to shoot now, as numbered moves of this rail; and what frames shot later have covered. */
export function TopUp({ report, labels, mended }: { report: Report; labels: readonly string[]; mended: readonly Mended[] }) {
  const store = useStore();
  const { settings, provisional } = useWindowState();
  const [copied, setCopied] = useState<boolean | null>(null);
  const guide = topUpMoves(report, { railUnitUm: rigValue('railUnitUm', settings), workingDistanceMm: rigValue('workingDistanceMm', settings) });
  const copy = async (): Promise<void> => {
    const text = [guide.heading, ...guide.moves.map((move, i) => `${i + 1}. ${move.text}`), ...guide.cautions].join('\n');
    try { await navigator.clipboard.writeText(text); setCopied(true); } catch { setCopied(false); }
  };
  if (provisional) return <section className="top-up" aria-label="Top-up"><h2>Top-up</h2><p>What to shoot, if anything, is known when all frames are read. Leave camera and subject as they are.</p></section>;
  return (
    <section className="top-up" aria-label="Top-up">
      <h2>Top-up</h2>
      <p className="heading">{guide.moves.length > 0 ? guide.heading : NOTHING_TO_ADD[report.verdict.decision]}</p>
      <p className="row">
        <button type="button" className="strong" onClick={() => void store.checkAgain()}>{guide.moves.length > 0 ? 'All shot: check again' : 'Check again'}</button>
        {guide.moves.length > 0 && <button type="button" onClick={() => void copy()}>{copied === true ? 'Copied' : 'Copy'}</button>}
      </p>
      {/* Without moves of its own the advice above still sends somebody to the rig. */}
      <Cautions texts={reportCautions(report)} />
      {copied === false && <p role="alert">The system would not take the text. Select it and copy it by hand.</p>}
      {guide.moves.length > 0 && <>
        {/* The clearance stands before the moves it belongs to, and what is good practice behind them. */}
        <Cautions texts={guide.cautions.filter(isClearance)} />
        <ol>{guide.moves.map((move, i) => <li key={i} className={move.kind}>{keptTogether(move.text)}</li>)}</ol>
        <Cautions texts={guide.cautions.filter((text) => !isClearance(text))} />
      </>}
      {mended.length > 0 && <>
        <h3>Frames shot later</h3>
        <ul className="covered">{mended.map((entry) => (
          <li key={entry.added[0]} className={isCovered(entry) ? 'closed' : ''}><button type="button" className="plain" onClick={() => store.mark({ kind: 'frame', frame: entry.added[0] })}>{keptTogether(mendedText(report, entry, labels))}</button></li>
        ))}</ul>
      </>}
    </section>
  );
}

function Cautions({ texts }: { texts: readonly string[] }) {
  return texts.length === 0 ? null : <div className="caution" role="note">{texts.map((text) => <p key={text}>{keptTogether(inWindowWords(text))}</p>)}</div>;
}
