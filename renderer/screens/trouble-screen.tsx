import { useStore, useWindowState } from '../state/window-context.js';

/** Something could not be done: what, and what to do next. */
export function TroubleScreen() {
  const store = useStore();
  const { problem } = useWindowState();
  return (
    <main className="page">
      <div role="alert">
        <h1>This stack could not be checked.</h1>
        <p>{problem?.message}</p>
        <p>{problem?.remedy}</p>
      </div>
      <p className="row">
        {problem?.folder && <button type="button" className="strong" onClick={() => void store.openFolder(problem.folder!)}>Try again</button>}
        <button type="button" onClick={() => void store.chooseFolder()}>Open another folder</button>
      </p>
    </main>
  );
}
