import type { WatchEvent } from '../../src/contract/host.js';
import type { Report, Step } from '../../src/contract/report.js';
import { isHarmless } from './report-reading.js';

/** What the last look at the whole stack said of each two neighbours on the ladder, by the names of their files. */
export type WholeLook = ReadonlyMap<string, Step>;
export const NOT_LOOKED: WholeLook = new Map();

/**
 * What is known of pairs by the whole once a report has come. A pair is forgotten where another frame came between, and where one of the two
 * is the newest: under a name that was there before it may be another picture, and after it the advice speaks of its steps by themselves.
 */
export function wholeLookAfter(before: WholeLook, { report, newest, whole }: Extract<WatchEvent, { kind: 'report' }>): WholeLook {
  const { frames } = report.stack;
  return new Map(report.steps.flatMap((step): [string, Step][] => {
    if (frames[step.from].file === newest || frames[step.to].file === newest) return [];
    const pair = pairOf(report, step), said = whole ? step : before.get(pair);
    return said === undefined ? [] : [[pair, said]];
  }));
}

/** The report with each step as the whole said it, where it said something of that pair: a quick look goes by few frames and few tiles. */
export function asWholeSaid(report: Report, look: WholeLook): Report {
  return { ...report, steps: report.steps.map((step) => ({ ...step, ...look.get(pairOf(report, step)), from: step.from, to: step.to })) };
}

/** Indices of the steps that are gaps of which the whole said that no surface lies there. All other gaps count while shooting. */
export function knownHarmless(report: Report, look: WholeLook): ReadonlySet<number> {
  return new Set(report.steps.flatMap((step, i) => (isHarmless(step) && look.has(pairOf(report, step)) ? [i] : [])));
}

/** The same whichever of the two is nearer; no file's name holds a slash. */
function pairOf({ stack: { frames } }: Report, { from, to }: Step): string { return [frames[from].file, frames[to].file].sort().join('/'); }
