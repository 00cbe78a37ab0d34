import { useEffect, useState } from 'react';
import { UserError } from '../../src/contract/errors.js';
import type { FolderListing } from '../../src/contract/host.js';
import { WindowDialog } from '../parts/window-dialog.js';
import { useStore, useWindowState } from '../state/window-context.js';

/** Picks a folder where the system has no dialog to lend: a list of folders, or a path typed in. */
export function OpenDialog() {
  const { dialog } = useWindowState();
  return <WindowDialog name="open" title="Open a stack">{dialog === 'open' && <Folders />}</WindowDialog>;
}

function Folders() {
  const store = useStore();
  const { stack } = useWindowState();
  const [listing, setListing] = useState<FolderListing | null>(null);
  const [typed, setTyped] = useState('');
  const [problem, setProblem] = useState<string | null>(null);
  const go = async (folder: string | null): Promise<void> => {
    try {
      const next = await store.host.listFolders(folder);
      setListing(next);
      setTyped(next.folder);
      setProblem(null);
    } catch (error) {
      setProblem(error instanceof UserError ? `${error.message} ${error.remedy}` : 'The folder can’t be read.');
    }
  };
  useEffect(() => { void go(stack?.folder ?? null); /* only where it starts */ // eslint-disable-next-line react-hooks/exhaustive-deps
  }, []);
  return (
    <>
      <form className="path" onSubmit={(event) => { event.preventDefault(); void store.openFolder(typed); }}>
        <label>Folder <input value={typed} onChange={(event) => setTyped(event.target.value)} spellCheck={false} /></label>
        <button type="submit" className="strong">Open this stack</button>
      </form>
      {problem && <p role="alert">{problem}</p>}
      {listing && (
        <ul className="folders">
          {listing.parent && <li><button type="button" onClick={() => void go(listing.parent)}>↑ One folder up</button></li>}
          {listing.folders.map(({ name, folder, pictures }) => (
            <li key={folder}><button type="button" onClick={() => void (pictures > 1 ? store.openFolder(folder) : go(folder))}>{name} <span>{pictures > 0 ? `${pictures} pictures, open` : 'look inside'}</span></button></li>
          ))}
          {listing.folders.length === 0 && <li>No folders in here{listing.pictures > 0 ? `, but ${listing.pictures} pictures: open this stack` : ''}.</li>}
        </ul>
      )}
    </>
  );
}
