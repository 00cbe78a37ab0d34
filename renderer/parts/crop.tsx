import { useEffect, useState } from 'react';
import { useStore } from '../state/window-context.js';

/** Part of one frame at 100 %, fetched as it is needed. `revision` grows when the frames may have changed. */
export function Crop({ stackId, frameId, row, column, rows, columns, text }: { stackId: string; frameId: string; row: number; column: number; rows: number; columns: number; text: string }) {
  const store = useStore();
  const [shown, setShown] = useState<{ address: string } | { problem: string } | null>(null);
  useEffect(() => {
    const controller = new AbortController();
    let address: string | null = null;
    store.host.picture({ stackId, picture: frameId, level: 0, row: Math.max(0, row), column: Math.max(0, column), rows, columns }, controller.signal)
      .then(({ blob }) => { if (controller.signal.aborted) return; address = URL.createObjectURL(blob); setShown({ address }); })
      .catch((error: unknown) => { if (!controller.signal.aborted) setShown({ problem: error instanceof Error ? error.message : 'not readable' }); });
    return () => { controller.abort(); if (address) URL.revokeObjectURL(address); };
  }, [store, stackId, frameId, row, column, rows, columns]);
  return <figure className="crop">{shown && 'address' in shown ? <img src={shown.address} alt={text} /> : <span className="no-crop">{shown?.problem ?? ''}</span>}<figcaption>{text}</figcaption></figure>;
}
