import { useState } from 'react';
import type { Report } from '../../src/contract/report.js';
import { topUpMoves } from '../../src/optics/top-up-moves.js';
import { useStore, useWindowState } from '../state/window-context.js';

/** What to shoot now, as numbered moves of this rail. */
export function TopUp({ report }: { report: Report }) {
  const store = useStore();
  const { settings } = useWindowState();
  const [copied, setCopied] = useState<boolean | null>(null);
  const value = (field: 'railUnitUm' | 'workingDistanceMm'): number | null => settings.entered[field] ?? settings.rigCard?.values[field] ?? null;
  const guide = topUpMoves(report, { railUnitUm: value('railUnitUm'), workingDistanceMm: value('workingDistanceMm') });
  const copy = async (): Promise<void> => {
    const text = [guide.heading, ...guide.moves.map((move, i) => `${i + 1}. ${move.text}`), ...guide.cautions].join('\n');
    try { await navigator.clipboard.writeText(text); setCopied(true); } catch { setCopied(false); }
  };
  return (
    <section className="top-up" aria-label="Top-up">
      <h2>Top-up</h2>
      <p className="heading">{guide.heading}</p>
      {guide.moves.length > 0 && <>
        <ol>{guide.moves.map((move, i) => <li key={i} className={move.kind}>{move.text}</li>)}</ol>
        <div className="caution" role="note">{guide.cautions.map((text) => <p key={text}>{text}</p>)}</div>
      </>}
      <p className="row">
        <button type="button" className="strong" onClick={() => void store.checkAgain()}>{guide.moves.length > 0 ? 'I have shot them: check again' : 'Check again'}</button>
        {guide.moves.length > 0 && <button type="button" onClick={() => void copy()}>{copied === true ? 'Copied' : 'Copy'}</button>}
      </p>
      {copied === false && <p role="alert">The system would not take the text. Select it and copy it by hand.</p>}
    </section>
  );
}
