import path from 'node:path';
import { UserError } from '../src/contract/errors.js';
import { folderOfReport, isReportName } from '../src/io/folder-of-report.js';

/**
 * The stack to open at the start: the folder named, or that of the saved report named.
 * @param complain told in one line where the report can't be opened; the window then starts empty
 */
export async function startFolder(named: string | null, complain: (line: string) => void): Promise<string | null> {
  if (named === null) return null;
  if (!isReportName(named)) return path.resolve(named);
  try {
    return await folderOfReport(path.resolve(named));
  } catch (error) {
    complain(error instanceof UserError ? error.line : String(error));
    return null;
  }
}
