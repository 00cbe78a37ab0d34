import type { OpticsReport } from '../../src/contract/report.js';
import { um } from '../format/numbers.js';
import { NumberLine } from '../parts/number-line.js';
import { CardChoice } from './card-choice.js';
import { knownOf, RIG_FIELD_WORDS, SOURCE_WORDS } from '../state/rig-fields.js';
import { useStore, useWindowState } from '../state/window-context.js';

/** What is known of the set-up and where each value came from. Changing one judges the same measurements anew. */
export function RigCard({ optics }: { optics: OpticsReport }) {
  const store = useStore();
  const { settings, regrading } = useWindowState();
  return (
    <section className="rig-card" aria-label="Rig card" aria-busy={regrading !== 'no'}>
      <h2>Rig card{settings.rigCard ? `: ${settings.rigCard.name}` : ''}</h2>
      <CardChoice />
      {RIG_FIELD_WORDS.map(({ field, ...words }) => {
        const { value, source } = knownOf(field, settings, optics);
        return <NumberLine key={field} {...words} value={value} note={SOURCE_WORDS[source]} noteKind={source} onChange={(next) => store.enter(field, next)} />;
      })}
      <NumberLine name="Overlap asked" unit="%" step={5} max={90} value={Math.round(settings.overlap * 100)} onChange={(next) => store.changeSettings({ overlap: (next ?? 30) / 100 })} />
      <NumberLine name="Picture width" unit="px" step={100} max={100_000} value={settings.outputWidthPx} note={settings.outputWidthPx === null ? 'every pixel' : 'entered'} onChange={(next) => { if (next === null || next >= 16) store.changeSettings({ outputWidthPx: next === null ? null : Math.round(next) }); }} />
      <p className="foot"><span>{opticsWords(optics)}</span></p>
      <p className="row"><button type="button" onClick={() => store.set({ dialog: 'save-card' })}>Save this card…</button></p>
    </section>
  );
}

function opticsWords({ dofUm, effectiveFNumber, pupilRatio }: OpticsReport): string {
  if (dofUm.value === null) return 'Magnification, aperture and pixel pitch give lengths in µm; without them everything is in depths of field (DOF).';
  const known = `Effective f/${effectiveFNumber.value?.toFixed(1)}, depth of field ${um(dofUm.value)}.`;
  return pupilRatio.source === 'default' ? `${known} The pupil ratio is assumed: another one moves the depth of field several-fold. The Plan screen shows how to measure it.` : known;
}
