import { useState } from 'react';
import { CARD_NAME } from '../format/card-name.js';
import { WindowDialog } from '../parts/window-dialog.js';
import { useStore, useWindowState } from '../state/window-context.js';

/** Keeps the values in force under a name, for the next evening. */
export function SaveCardDialog() {
  const store = useStore();
  const { settings, stack, dialog, rigCards } = useWindowState();
  const [name, setName] = useState('');
  const [withCamera, setWithCamera] = useState(false);
  const camera = stack?.cameraModel ?? null, values = { ...settings.rigCard?.values, ...settings.entered };
  const taken = rigCards.some((card) => card.name === name.trim());
  return (
    <WindowDialog name="save-card" title="Save this rig card">
      {dialog === 'save-card' && (Object.values(values).every((value) => value === undefined) ? <p>There is nothing to save yet: enter what you know of the set-up in the rig card first, such as magnification and aperture.</p> : (
        <form className="path" onSubmit={(event) => {
          event.preventDefault();
          if (name.trim() === '') return;
          void store.saveCard({ name: name.trim(), ...(withCamera && camera ? { cameraModel: camera } : {}), values });
        }}>
          <label>Name <input value={name} autoFocus onFocus={(event) => event.target.select()} onChange={(event) => setName(event.target.value)} {...CARD_NAME} placeholder="Bench, 5×" /></label>
          {camera && <label className="check"><input type="checkbox" checked={withCamera} onChange={(event) => setWithCamera(event.target.checked)} /> Offer it for frames from {camera}</label>}
          {taken && <p role="status">There is a card of this name already. Saving replaces its values.</p>}
          <button type="submit" className="strong">{taken ? 'Replace it' : 'Save'}</button>
        </form>
      ))}
    </WindowDialog>
  );
}
