import type { WireError } from '../contract/channels.js';
import { CancelledError, UserError } from '../contract/errors.js';

/** What of an error may reach the window. A fault of the program's own shows no inside, only what to do. */
export function wireError(error: unknown): WireError {
  if (error instanceof CancelledError) return { message: error.message, remedy: '', cancelled: true };
  if (error instanceof UserError) return { message: error.message, remedy: error.remedy, cancelled: false };
  return { message: 'Something went wrong inside Rungwise.', remedy: 'Try again; if it happens again, check the stack with "rungwise check" to see more.', cancelled: false };
}
