import type { ExportedFile } from '../../src/contract/host.js';

/** Hands a text to the system's own "save as": the browser's download, or the dialog Electron shows for it. */
export function saveText(file: ExportedFile): void {
  const address = URL.createObjectURL(new Blob([file.text], { type: file.mediaType }));
  const link = document.createElement('a');
  link.href = address;
  link.download = file.fileName;
  link.click();
  setTimeout(() => URL.revokeObjectURL(address), 10_000);
}
