import { UserError } from '../../contract/errors.js';
import type { PictureRequest } from '../../contract/host.js';
import type { LevelPart } from './compose-sharpest.js';

/**
 * The rectangle asked for, cut down to what the level holds.
 * @throws UserError where nothing of it lies inside
 */
export function partOfLevel(level: { rows: number; columns: number }, { row, column, rows, columns }: Omit<PictureRequest, 'stackId' | 'picture' | 'level'>): LevelPart {
  const bottom = Math.min(level.rows, row + rows), right = Math.min(level.columns, column + columns);
  if (row >= bottom || column >= right) throw new UserError('That part lies outside the picture.', 'Go back to the whole picture with 0.');
  return { row, column, rows: bottom - row, columns: right - column };
}
