import { useStore, useWindowState } from '../state/window-context.js';

/** The saved rig cards, where there are any. What was entered by hand gives way to the card chosen. */
export function CardChoice() {
  const store = useStore();
  const { settings, rigCards } = useWindowState();
  const cards = settings.rigCard && !rigCards.some((card) => card.name === settings.rigCard?.name) ? [settings.rigCard, ...rigCards] : rigCards;
  if (cards.length === 0) return null;
  return (
    <label className="line wide"><span>Saved cards</span><select value={settings.rigCard?.name ?? ''} onChange={(event) => store.changeSettings({ rigCard: cards.find((card) => card.name === event.target.value) ?? null, entered: {} })}>
      <option value="">none</option>{cards.map((card) => <option key={card.name}>{card.name}</option>)}
    </select></label>
  );
}
