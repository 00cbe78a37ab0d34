/** What the program was started with: a folder, a rig card (name or file), and whether the terminal wants the verdict too. */
export interface StartWords { folder: string | null; rig: string | null; printVerdict: boolean }

/** Reads the words behind the program's own; other words that begin with a dash are Electron's. */
export function startWords(words: readonly string[]): StartWords {
  const found: StartWords = { folder: null, rig: null, printVerdict: false };
  for (let i = 0; i < words.length; i++) {
    if (words[i] === '--rig') found.rig = words[++i] ?? null;
    else if (words[i].startsWith('--rig=')) found.rig = words[i].slice('--rig='.length);
    else if (words[i] === '--print-verdict') found.printVerdict = true;
    else if (!words[i].startsWith('-')) found.folder ??= words[i];
  }
  return found;
}
