import type { ExportedFile } from '../../src/contract/host.js';

/** Hands a file to the system's own "save as": the browser's download, or the dialog Electron shows for it. */
export function saveFile({ fileName, mediaType, encoding, content }: ExportedFile): void {
  const part = encoding === 'text' ? content : Uint8Array.from(atob(content), (letter) => letter.charCodeAt(0));
  const address = URL.createObjectURL(new Blob([part], { type: mediaType }));
  const link = document.createElement('a');
  link.href = address;
  link.download = fileName;
  link.click();
  setTimeout(() => URL.revokeObjectURL(address), 10_000);
}
