import { readdir } from 'node:fs/promises';
import { homedir } from 'node:os';
import path from 'node:path';

const DEEPEST = 3;
const MOST_FOLDERS = 3000;

/**
 * A browser tells a dropped folder's name and its files, never where it lies. Looks for a folder of that name holding those files
 * near the recent stacks and in the home folder, three levels deep. Null where none or more than one is found: a guess could open the wrong stack.
 */
export async function locateDrop(name: string, files: readonly string[], recentFolders: readonly string[]): Promise<string | null> {
  const starts = [...new Set([...recentFolders.map((folder) => path.dirname(folder)), process.cwd(), homedir()])];
  const found = new Set<string>();
  let looked = 0;
  for (const start of starts) {
    let level = [start];
    for (let depth = 0; depth <= DEEPEST && level.length > 0; depth++) {
      const below: string[] = [];
      for (const folder of level) {
        if (looked++ > MOST_FOLDERS) break;
        const inside = await foldersIn(folder);
        for (const entry of inside) {
          if (path.basename(entry) === name && await holds(entry, files)) found.add(entry);
          below.push(entry);
        }
      }
      level = below;
    }
  }
  return found.size === 1 ? [...found][0] : null;
}

async function foldersIn(folder: string): Promise<string[]> {
  try {
    const entries = await readdir(folder, { withFileTypes: true });
    return entries.filter((e) => e.isDirectory() && !e.name.startsWith('.') && e.name !== 'node_modules').map((e) => path.join(folder, e.name));
  } catch {
    return [];
  }
}

async function holds(folder: string, files: readonly string[]): Promise<boolean> {
  if (files.length === 0) return false;
  const there = new Set(await readdir(folder).catch(() => []));
  return files.every((file) => there.has(file));
}
