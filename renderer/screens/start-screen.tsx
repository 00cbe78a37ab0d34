import { useStore, useWindowState } from '../state/window-context.js';

/** Nothing is open yet. */
export function StartScreen() {
  const store = useStore();
  const { recent } = useWindowState();
  return (
    <main className="page">
      <h1>Is every depth sharp?</h1>
      <p>Open the folder of a stack, or drop it here. Nothing is ever written to it.</p>
      <p><button type="button" className="strong" onClick={() => void store.chooseFolder()}>Open a stack</button></p>
      {recent.length > 0 && (
        <section aria-label="Recent stacks">
          <h2>Recent stacks</h2>
          <ul className="recent">{recent.map((stack) => (
            <li key={stack.folder}>
              <button type="button" onClick={() => void store.openFolder(stack.folder)}><strong>{stack.name}</strong> <span>{stack.folder}</span></button>
              <button type="button" className="plain" aria-label={`Forget ${stack.name}`} onClick={() => void store.forget(stack.folder)}>Forget</button>
            </li>
          ))}</ul>
        </section>
      )}
    </main>
  );
}
