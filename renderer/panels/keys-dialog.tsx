import { WindowDialog } from '../parts/window-dialog.js';
import { useStore, useWindowState } from '../state/window-context.js';

const KEYS: [string, string][] = [
  ['O', 'open a folder'], ['G', 'go to the next missing depth'], ['S, D, F', 'picture: soft areas, depth, one frame'],
  ['↑ ↓ in the ladder', 'next frame or missing band, away from or towards the camera'], ['+ − 0 in the ladder', 'longer, shorter, whole ladder'],
  ['arrows in the picture', 'move the place; with Shift eight tiles at a time'], ['Alt and arrows in the picture', 'pan'],
  ['+ − in the picture', 'closer, further away'], ['1 and 0 in the picture', '100 % and the whole picture'],
  ['L in the picture', 'begin a line at the place; move, then L again: the depths along it'], ['← → in the steps', 'next step'], ['Esc', 'stop the analysis, close a dialog'], ['?', 'this sheet'],
];

/** Everything the keyboard can do. */
export function KeysDialog() {
  const store = useStore();
  const { singleKeys } = useWindowState();
  return (
    <WindowDialog name="keys" title="Keys">
      <table className="keys"><tbody>{KEYS.map(([key, what]) => <tr key={key}><th scope="row">{key}</th><td>{what}</td></tr>)}</tbody></table>
      <label><input type="checkbox" checked={singleKeys} onChange={(event) => store.set({ singleKeys: event.target.checked })} /> Single letters work as keys</label>
    </WindowDialog>
  );
}
