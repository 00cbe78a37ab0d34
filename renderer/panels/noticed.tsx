import type { Finding, Severity } from '../../src/contract/report.js';
import { findingSentence } from '../../src/optics/finding-sentence.js';
import { keptTogether } from '../format/kept-together.js';
import { inWindowWords } from '../format/window-words.js';
import { useStore } from '../state/window-context.js';

const WEIGHT_WORDS: Record<Severity, string> = { fault: 'Trouble', warn: 'Mind', info: 'To know' };

/** What was noticed beside the verdict's own reasons, the gravest first, each with its remedy. */
export function Noticed({ findings, labels }: { findings: readonly Finding[]; labels: readonly string[] }) {
  const store = useStore();
  return (
    <section className="noticed" aria-label="Noticed">
      {findings.length === 0 ? <p className="empty">Nothing beside the verdict.</p> : <ul>{findings.map((finding, i) => (
        <li key={i} className={finding.severity}>
          <strong>{WEIGHT_WORDS[finding.severity]}</strong>
          <span>{keptTogether(inWindowWords(findingSentence(finding, labels)))}{finding.frames.length > 0 && <> <button type="button" className="plain" onClick={() => store.mark({ kind: 'frame', frame: finding.frames[0] })}>Show {labels[finding.frames[0]]}</button></>}</span>
        </li>
      ))}</ul>}
    </section>
  );
}
