import { UserError } from '../../src/contract/errors.js';
import { inWindowWords } from '../format/window-words.js';
import type { Problem } from './window-state.js';

/** What went wrong in the photographer's words; a fault of the window's own shows no inside. */
export function problemWords(error: unknown, folder: string | null): Problem {
  if (error instanceof UserError) return { message: inWindowWords(error.message), remedy: inWindowWords(error.remedy), folder };
  return { message: 'Something went wrong in this window.', remedy: 'Reload it; nothing is lost, and nothing was written.', folder };
}
