const MOST_NAMED = 4;

/** Frames by name: a run by its ends ("0101–0108"), others one by one. @param frames indices in the order they are to be named */
export function runText(frames: readonly number[], labels: readonly string[]): string {
  const last = frames.length - 1;
  if (last >= 2 && frames.every((k, i) => k === frames[0] + i)) return `${labels[frames[0]]}–${labels[frames[last]]}`;
  return frames.length <= MOST_NAMED ? frames.map((k) => labels[k]).join(', ') : `${frames.slice(0, MOST_NAMED).map((k) => labels[k]).join(', ')} and ${frames.length - MOST_NAMED} more`;
}
