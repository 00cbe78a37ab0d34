import { useState } from 'react';
import type { RailReport } from '../../src/contract/rail.js';
import { CARD_NAME } from '../format/card-name.js';
import { um } from '../format/numbers.js';
import { useStore, useWindowState } from '../state/window-context.js';

/** Keeps the measured rail unit, with the rest of the set-up, as a rig card. */
export function SaveRail({ rail }: { rail: RailReport }) {
  const store = useStore();
  const { settings } = useWindowState();
  const [name, setName] = useState(settings.rigCard?.name ?? '');
  if (rail.measuredUm === null) return null;
  if (rail.railUnitUm === null) return <p className="foot"><span>Enter the units moved per frame to find how long a rail unit really is, and to save it.</span></p>;
  const railUnitUm = Number(rail.railUnitUm.toPrecision(5));
  return (
    <form className="path" onSubmit={(event) => {
      event.preventDefault();
      if (name.trim() !== '') void store.saveCard({ name: name.trim(), values: { ...settings.rigCard?.values, ...settings.entered, railUnitUm } });
    }}>
      <label>Save a rail unit of {um(railUnitUm)} to the rig card <input value={name} onChange={(event) => setName(event.target.value)} {...CARD_NAME} placeholder="Bench, 5×" /></label>
      <button type="submit" className="strong">Save</button>
    </form>
  );
}
