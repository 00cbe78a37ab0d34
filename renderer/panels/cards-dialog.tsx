import { useState } from 'react';
import { Button, Dialog, Heading, Modal, ModalOverlay } from 'react-aria-components';
import type { RigCardInfo } from '../../src/contract/host.js';
import { CARD_NAME } from '../format/card-name.js';
import { cardWords } from '../format/card-words.js';
import { WindowDialog } from '../parts/window-dialog.js';
import { useStore, useWindowState } from '../state/window-context.js';

/** All saved rig cards: take one, give it another name, delete it. */
export function CardsDialog() {
  const { dialog } = useWindowState();
  return <WindowDialog name="cards" title="Saved rig cards">{dialog === 'cards' && <Cards />}</WindowDialog>;
}

function Cards() {
  const store = useStore();
  const { rigCards, settings } = useWindowState();
  const [renaming, setRenaming] = useState<string | null>(null), [deleting, setDeleting] = useState<RigCardInfo | null>(null);
  const [problem, setProblem] = useState<string | null>(null);
  const done = (failed: string | null): boolean => { setProblem(failed); return failed === null; };
  return (
    <>
      {rigCards.length === 0 && <p>No card is saved. “Save this card…” in the rig card keeps the values in force under a name.</p>}
      {problem && <p role="alert">{problem}</p>}
      <ul className="cards">{rigCards.map((card) => (
        <li key={card.name}>
          {renaming === card.name
            ? <Rename name={card.name} onDone={() => setRenaming(null)} onName={async (to) => { if (done(await store.renameCard(card.name, to))) setRenaming(null); }} />
            : <>
              <span className="card-words"><strong>{card.name}</strong>{settings.rigCard?.name === card.name ? ' (in use)' : ''}<small>{cardWords(card)}</small></span>
              <button type="button" aria-label={`Rename ${card.name}`} onClick={() => setRenaming(card.name)}>Rename</button>
              <button type="button" aria-label={`Delete ${card.name}`} onClick={() => setDeleting(card)}>Delete…</button>
            </>}
        </li>
      ))}</ul>
      <ModalOverlay className="overlay" isOpen={deleting !== null} onOpenChange={(open) => { if (!open) setDeleting(null); }}>
        <Modal className="modal small">
          <Dialog className="dialog" role="alertdialog">
            <Heading slot="title">Delete “{deleting?.name}”?</Heading>
            <p>{deleting && cardWords(deleting)}. A deleted card can’t be brought back.{deleting && deleting.name === settings.rigCard?.name ? ' Its values stay in force for the open stack.' : ''}</p>
            <p className="row">
              <Button autoFocus className="strong" onPress={() => setDeleting(null)}>Keep it</Button>
              <Button onPress={() => { const card = deleting; setDeleting(null); if (card) void store.deleteCard(card.name).then(done); }}>Delete</Button>
            </p>
          </Dialog>
        </Modal>
      </ModalOverlay>
    </>
  );
}

function Rename({ name, onName, onDone }: { name: string; onName: (to: string) => Promise<void>; onDone: () => void }) {
  const [typed, setTyped] = useState(name);
  return (
    <form className="path" onSubmit={(event) => { event.preventDefault(); const to = typed.trim(); if (to === name) onDone(); else if (to !== '') void onName(to); }}
      onKeyDown={(event) => { if (event.key === 'Escape') { event.stopPropagation(); onDone(); } }}>
      {/* Pressed to be typed into: focus follows the press. */}
      <label>New name <input value={typed} autoFocus onFocus={(event) => event.target.select()} onChange={(event) => setTyped(event.target.value)} {...CARD_NAME} /></label>
      <button type="submit" className="strong">Rename</button><button type="button" onClick={onDone}>Cancel</button>
    </form>
  );
}
