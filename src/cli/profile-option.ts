import { UserError } from '../contract/errors.js';
import type { ProfileLine } from '../optics/depth-profile.js';

/** A line in the picture as X1,Y1,X2,Y2: pixels from the left and from the top. @throws UserError for anything else */
export function profileOption(text: string): ProfileLine {
  const numbers = text.split(',').map((part) => (/^\s*\d+(\.\d+)?\s*$/.test(part) ? Number(part) : NaN));
  const [x1, y1, x2, y2] = numbers;
  const remedy = 'Give the ends of the line in pixels from the left and from the top, such as --profile 100,500,1400,500.';
  if (numbers.length !== 4 || numbers.some(Number.isNaN)) throw new UserError(`--profile got "${text}", which is not four numbers.`, remedy);
  if (x1 === x2 && y1 === y2) throw new UserError('--profile got a line of no length.', remedy);
  return { from: { row: y1, column: x1 }, to: { row: y2, column: x2 } };
}
