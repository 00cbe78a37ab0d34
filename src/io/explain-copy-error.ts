import { UserError } from '../contract/errors.js';

/** What went wrong while copying, in the user's words. Errors that are explained already pass through. */
export function explainCopyError(error: unknown, target: string): Error {
  if (error instanceof UserError) return error;
  const { code, message, path: file } = error as NodeJS.ErrnoException;
  switch (code) {
    case 'EACCES':
    case 'EPERM':
    case 'EROFS': return new UserError(`${file ?? target} may not be written or read; nothing was copied.`, 'Name a folder you may write to with --to.');
    case 'ENOSPC':
    case 'EDQUOT': return new UserError('The disk is full; the copies made so far were taken away again.', 'Make room, or name another drive with --to.');
    case 'ENOENT': return new UserError(`${file ?? target} is no longer there; the copies made so far were taken away again.`, 'Check that nobody moves the frames meanwhile, then try again.');
    default: return new UserError(`Copying to ${target} failed (${code ?? message}); the copies made so far were taken away again.`, 'Check that both drives are connected, then try again.');
  }
}
