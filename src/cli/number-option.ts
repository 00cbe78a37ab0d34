import { UserError } from '../contract/errors.js';
import { limitText, type Limit } from '../io/rig-limits.js';

/**
 * A parser for an option that takes a number within a range. Accepts a leading "f/" and a trailing "x", "×" or the unit,
 * because that is how the values are spoken.
 * @throws UserError naming the option, what came, and the range
 */
export function numberOption(flag: string, limit: Limit, whole = false): (text: string) => number {
  return (text) => {
    const plain = text.trim().replace(/^f\//i, '').replace(/(x|×|µm|um|nm|mm|px)$/i, '').trim();
    const value = /^[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?$/i.test(plain) ? Number(plain) : NaN;
    const kind = whole ? 'a whole number' : 'a number';
    const remedy = `Give ${kind} ${limitText(limit)}, such as ${flag} ${limit.example}.`;
    if (/^\d+,\d+$/.test(plain)) throw new UserError(`${flag} got "${text}".`, 'Write the decimals with a point, as in 2.8.');
    if (!Number.isFinite(value) || (whole && !Number.isInteger(value))) throw new UserError(`${flag} got "${text}", which is not ${kind}.`, remedy);
    if (value < limit.min || value > limit.max) throw new UserError(`${flag} got ${text}, which is out of range.`, remedy);
    return value;
  };
}

/** A parser for an option that takes a file name: another option in its place means the name was forgotten. */
export function fileOption(flag: string, example: string): (text: string) => string {
  return (text) => {
    if (text === '' || /^-./.test(text)) throw new UserError(`${flag} needs a file name, got "${text}".`, `Write it as ${flag} ${example}.`);
    return text;
  };
}

/** The same where "-" stands for standard output. */
export function fileOrDashOption(flag: string, example: string): (text: string) => string {
  const file = fileOption(flag, example);
  return (text) => (text === '-' ? text : file(text));
}
