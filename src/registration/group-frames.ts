import { compareLight, DIFFERENT, type LightMatch } from './compare-light.js';
import type { LightMap } from './light-map.js';

/** Which frames show one subject, by their light alone, and how each moved against the frame before. */
export interface FrameGroups {
  /** Group of each frame, 0 being the first frame's; frames too even to tell stay with the frame before. */
  group: number[];
  /** Against the last telling frame before in file order; null for the first, for one too even, and where the subject is another. */
  move: (LightMatch | null)[];
}

/** Frames of a group that a stranger to its last frame is compared with, too: hand-held and shuffled frames are strangers at times. */
const COMPARED_OF_GROUP = 4;

/** @param maps in file order, all of one size */
export function groupFrames(maps: readonly LightMap[]): FrameGroups {
  const group: number[] = [], move: (LightMatch | null)[] = [], members: number[][] = [[]];
  let last = -1;
  maps.forEach((map, k) => {
    move.push(null);
    group.push(last < 0 ? 0 : group[last]);
    if (!map.telling) return;
    if (last >= 0) {
      const match = compareLight(maps[last], map);
      if (match.likeness >= DIFFERENT) move[k] = match;
      else {
        const known = members.findIndex((frames) => spread(frames).some((j) => compareLight(maps[j], map).likeness >= DIFFERENT));
        group[k] = known < 0 ? members.length : known;
        if (known < 0) members.push([]);
      }
    }
    members[group[k]].push(k);
    last = k;
  });
  return { group, move };
}

/** Some of a group's frames, from its first to its last. */
function spread(frames: readonly number[]): number[] {
  if (frames.length <= COMPARED_OF_GROUP) return frames.slice();
  return Array.from({ length: COMPARED_OF_GROUP }, (_, i) => frames[Math.round((i * (frames.length - 1)) / (COMPARED_OF_GROUP - 1))]);
}
