import { NumberLine } from '../parts/number-line.js';
import { useStore, useWindowState } from '../state/window-context.js';

/** What a stack is judged by beside the optics: overlap, and how large the finished picture will be. `widthDoubt` says why the width can't be heeded yet. */
export function JudgingLines({ widthDoubt = null }: { widthDoubt?: string | null }) {
  const store = useStore();
  const { overlap, outputWidthPx } = useWindowState().settings;
  const doubt = outputWidthPx === null ? null : widthDoubt;
  return (
    <>
      <NumberLine name="Overlap asked" unit="%" step={5} max={90} value={Math.round(overlap * 100)} onChange={(next) => store.changeSettings({ overlap: (next ?? 30) / 100 })} />
      <NumberLine name="Picture width" unit="px" step={100} max={100_000} value={outputWidthPx} note={outputWidthPx === null ? 'every pixel' : doubt ?? 'entered'} noteKind={doubt === null ? '' : 'unknown'}
        onChange={(next) => { if (next === null || next >= 16) store.changeSettings({ outputWidthPx: next === null ? null : Math.round(next) }); }} />
    </>
  );
}
