import { open } from 'node:fs/promises';
import path from 'node:path';
import { UserError } from '../contract/errors.js';
import { REPORT_SCHEMA } from '../contract/report.js';

/** Saved reports that the desktop opens by a double click: JSON under an ending of our own. */
export const isReportName = (name: string): boolean => path.extname(name).toLowerCase() === '.rungwise';

/** With the focus curves of a large stack; more is no report. */
const MOST_BYTES = 256e6;

/**
 * The stack a saved report is of. Its frames were measured before, so that opening it again takes little time.
 * @returns the folder's absolute path
 * @throws UserError where the file is no report, or names no folder
 */
export async function folderOfReport(file: string): Promise<string> {
  const folder = await reportedFolder(file).catch((error: NodeJS.ErrnoException) => {
    throw new UserError(`${path.basename(file)} can't be opened (${error.code ?? 'it is no report'}).`, 'Open the folder with the frames instead.');
  });
  if (folder === null) throw new UserError(`${path.basename(file)} is no report of Rungwise.`, 'Open the folder with the frames instead.');
  return folder;
}

async function reportedFolder(file: string): Promise<string | null> {
  const handle = await open(file, 'r');
  try {
    const found = await handle.stat();
    if (!found.isFile() || found.size > MOST_BYTES) return null;
    const report = JSON.parse(await handle.readFile('utf8')) as { schema?: unknown; stack?: { folder?: unknown } } | null;
    const folder = report?.schema === REPORT_SCHEMA ? report.stack?.folder : null;
    return typeof folder === 'string' && path.isAbsolute(folder) ? folder : null;
  } finally {
    await handle.close();
  }
}
