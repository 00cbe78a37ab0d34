import { useEffect, useLayoutEffect, useRef, useState } from 'react';
import { UserError } from '../../src/contract/errors.js';
import type { FolderListing } from '../../src/contract/host.js';
import { inWindowWords } from '../format/window-words.js';
import { WindowDialog } from '../parts/window-dialog.js';
import { useStore, useWindowState } from '../state/window-context.js';

/** Picks a folder where the system has no dialog to lend: a list of folders, or a path typed in. */
export function OpenDialog() {
  const { dialog, openFor } = useWindowState();
  return <WindowDialog name="open" title={openFor === 'rail' ? 'Open a stack of a tilted target' : 'Open a stack'}>{dialog === 'open' && <Folders />}</WindowDialog>;
}

function Folders() {
  const store = useStore();
  const { stack, openWhy } = useWindowState();
  const [listing, setListing] = useState<FolderListing | null>(null);
  const [typed, setTyped] = useState('');
  const shown = useRef(''), field = useRef<HTMLInputElement>(null);
  const [problem, setProblem] = useState<string | null>(null);
  const [wanted, setWanted] = useState<string | null>(stack?.folder ?? null);
  useEffect(() => {
    let stale = false;
    store.host.listFolders(wanted).then((next) => {
      if (stale) return;
      setListing(next);
      // What was typed meanwhile stays.
      const before = shown.current;
      shown.current = next.folder;
      setTyped((now) => (now === before ? next.folder : now));
      setProblem(null);
    }, (error: unknown) => { if (!stale) setProblem(error instanceof UserError ? inWindowWords(error.line) : 'The folder can’t be read.'); });
    return () => { stale = true; };
  }, [store, wanted]);
  // The folder shown comes late, perhaps just before a path is pasted: what is typed next takes its place and is not put behind it.
  useLayoutEffect(() => { if (listing && field.current?.value === listing.folder && document.activeElement === field.current) field.current.select(); }, [listing]);
  return (
    <>
      {openWhy && <p role="status">{openWhy}</p>}
      <form className="path" onSubmit={(event) => { event.preventDefault(); void store.openFor(typed); }}>
        <label>Folder <input ref={field} value={typed} autoFocus onChange={(event) => setTyped(event.target.value)} spellCheck={false} /></label>
        <button type="submit" className="strong">Open this stack</button>
      </form>
      {problem && <p role="alert">{problem}</p>}
      {listing && (
        <ul className="folders">
          {listing.parent && <li><button type="button" onClick={() => setWanted(listing.parent)}>↑ One folder up</button></li>}
          {listing.folders.map(({ name, folder, pictures }) => (
            <li key={folder}><button type="button" onClick={() => { if (pictures > 1) void store.openFor(folder); else setWanted(folder); }}>{name} <span>{pictures > 0 ? `${pictures} pictures, open` : 'look inside'}</span></button></li>
          ))}
          {listing.folders.length === 0 && <li>No folders in here{listing.pictures > 0 ? `, but ${listing.pictures} pictures: open this stack` : ''}.</li>}
        </ul>
      )}
    </>
  );
}
