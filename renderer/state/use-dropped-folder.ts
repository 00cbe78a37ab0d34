import { useEffect, useState } from 'react';
import type { WindowStore } from './window-store.js';

/** A folder dropped anywhere in the window is opened. True while one hangs over it. */
export function useDroppedFolder(store: WindowStore): boolean {
  const [over, setOver] = useState(false);
  useEffect(() => {
    const drag = (event: DragEvent): void => { event.preventDefault(); setOver(true); };
    const leave = (event: DragEvent): void => { if (event.relatedTarget === null) setOver(false); };
    const drop = (event: DragEvent): void => {
      event.preventDefault();
      setOver(false);
      const item = event.dataTransfer?.items[0];
      const entry = item?.webkitGetAsEntry();
      if (!entry) return;
      const handle = event.dataTransfer?.files[0] ?? null;
      if (!entry.isDirectory) { store.set({ notice: 'Drop the folder that holds the frames, not the frames themselves.' }); return; }
      (entry as FileSystemDirectoryEntry).createReader().readEntries((entries) => {
        void store.openDrop({ name: entry.name, files: entries.filter((e) => e.isFile).map((e) => e.name), handle });
      }, () => store.set({ notice: 'The dropped folder can’t be read.' }));
    };
    addEventListener('dragover', drag);
    addEventListener('dragleave', leave);
    addEventListener('drop', drop);
    return () => { removeEventListener('dragover', drag); removeEventListener('dragleave', leave); removeEventListener('drop', drop); };
  }, [store]);
  return over;
}
