import type { OpticsReport } from '../../src/contract/report.js';
import { um } from '../format/numbers.js';
import { NumberLine } from '../parts/number-line.js';
import { CardChoice } from './card-choice.js';
import { JudgingLines } from './judging-lines.js';
import { knownOf, RIG_FIELD_WORDS, SOURCE_WORDS } from '../state/rig-fields.js';
import { useStore, useWindowState } from '../state/window-context.js';

/** What is known of the set-up and where each value came from. Changing one judges the same measurements anew. */
export function RigCard({ optics }: { optics: OpticsReport }) {
  const store = useStore();
  const { settings, regrading, rigCards } = useWindowState();
  return (
    <section className="rig-card" aria-label="Rig card" aria-busy={regrading !== 'no'}>
      <h2>Rig card{settings.rigCard ? `: ${settings.rigCard.name}` : ''}</h2>
      <CardChoice />
      {RIG_FIELD_WORDS.map(({ field, ...words }) => {
        const { value, source } = knownOf(field, settings, optics);
        return <NumberLine key={field} {...words} value={value} note={SOURCE_WORDS[source]} noteKind={source} onChange={(next) => store.enter(field, next)} />;
      })}
      <JudgingLines />
      <p className="foot"><span>{opticsWords(optics)}</span></p>
      <p className="row"><button type="button" onClick={() => store.set({ dialog: 'save-card' })}>Save this card…</button>{rigCards.length > 0 && <button type="button" onClick={() => store.set({ dialog: 'cards' })}>Saved cards…</button>}</p>
    </section>
  );
}

function opticsWords({ dofUm, effectiveFNumber, pupilRatio }: OpticsReport): string {
  if (dofUm.value === null) return 'Magnification, aperture and pixel pitch give lengths in µm; without them everything is in depths of field (DOF).';
  const known = `Effective f/${effectiveFNumber.value?.toFixed(1)}, depth of field ${um(dofUm.value)}.`;
  return pupilRatio.source === 'default' ? `${known} The pupil ratio is assumed: another one moves the depth of field several-fold. The Plan screen shows how to measure it.` : known;
}
