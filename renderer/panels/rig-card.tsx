import { useState } from 'react';
import type { RigField } from '../../src/contract/host.js';
import type { OpticsReport, ValueSource } from '../../src/contract/report.js';
import { um } from '../format/numbers.js';
import { useStore, useWindowState } from '../state/window-context.js';

const SOURCES: Record<ValueSource, string> = { 'option': 'entered', 'rig-card': 'rig card', 'exif': 'from file', 'default': 'assumed', 'derived': 'worked out', 'unknown': 'unknown' };
const FIELDS: { field: RigField; name: string; unit: string; step: number }[] = [
  { field: 'magnification', name: 'Magnification', unit: '×', step: 0.1 }, { field: 'fNumber', name: 'Marked aperture', unit: 'f/', step: 0.1 },
  { field: 'pupilRatio', name: 'Pupil ratio', unit: '', step: 0.05 }, { field: 'pixelPitchUm', name: 'Pixel pitch', unit: 'µm', step: 0.01 },
  { field: 'railUnitUm', name: 'Rail unit', unit: 'µm', step: 0.1 }, { field: 'workingDistanceMm', name: 'Working distance', unit: 'mm', step: 0.5 },
];

/** What is known of the set-up and where each value came from. Changing one judges the same measurements anew. */
export function RigCard({ optics }: { optics: OpticsReport }) {
  const store = useStore();
  const { settings, rigCards, regrading } = useWindowState();
  const known = (field: RigField): { value: number | null; source: ValueSource } => {
    if (field in optics && field !== 'wavelengthNm') { const of = optics[field as keyof OpticsReport]; if (of) return of; }
    const entered = settings.entered[field], saved = settings.rigCard?.values[field];
    return entered !== undefined ? { value: entered, source: 'option' } : saved !== undefined ? { value: saved, source: 'rig-card' } : { value: null, source: 'unknown' };
  };
  const { effectiveFNumber, dofUm } = optics;
  return (
    <section className="rig-card" aria-label="Rig card" aria-busy={regrading}>
      <h2>Rig card{settings.rigCard ? `: ${settings.rigCard.name}` : ''}</h2>
      {rigCards.length > 0 && <label className="line"><span>Saved cards</span><select value={settings.rigCard?.name ?? ''} onChange={(event) => store.changeSettings({ rigCard: rigCards.find((card) => card.name === event.target.value) ?? null, entered: {} })}>
        <option value="">none</option>{rigCards.map((card) => <option key={card.name}>{card.name}</option>)}
      </select><em /></label>}
      {FIELDS.map(({ field, name, unit, step }) => {
        const { value, source } = known(field);
        return <label className="line" key={field}><span>{name}{unit && <small> {unit}</small>}</span><NumberField value={value} step={step} onChange={(next) => store.enter(field, next)} /><em className={source}>{SOURCES[source]}</em></label>;
      })}
      <label className="line"><span>Overlap asked <small>%</small></span><NumberField value={Math.round(settings.overlap * 100)} step={5} onChange={(next) => store.changeSettings({ overlap: Math.min(0.9, Math.max(0, (next ?? 30) / 100)) })} /><em>entered</em></label>
      <p className="foot">{dofUm.value === null ? 'Magnification, aperture and pixel pitch give lengths in µm; without them everything is in depths of field.' : `Effective f/${effectiveFNumber.value?.toFixed(1)}, depth of field ${um(dofUm.value)}.`}{optics.pupilRatio.source === 'default' && dofUm.value !== null ? ' The pupil ratio is assumed: another one moves the depth of field several-fold.' : ''}</p>
      <p className="row"><button type="button" onClick={() => store.set({ dialog: 'save-card' })}>Save this card…</button></p>
    </section>
  );
}

/** A number that is taken over when it is a sensible one; an emptied field goes back to what is known otherwise. */
function NumberField({ value, step, onChange }: { value: number | null; step: number; onChange: (value: number | null) => void }) {
  const [typed, setTyped] = useState<string | null>(null);
  const take = (text: string): void => {
    setTyped(text);
    const number = Number(text.replace(',', '.'));
    if (text.trim() === '') onChange(null);
    else if (Number.isFinite(number) && number > 0) onChange(number);
  };
  return <input type="number" inputMode="decimal" min={0} step={step} value={typed ?? (value === null ? '' : String(Number(value.toPrecision(5))))} onChange={(event) => take(event.target.value)} onBlur={() => setTyped(null)} />;
}
