import path from 'node:path';
import { describe, expect, it } from 'vitest';
import { tryDamaged, type DamagedOutcome } from '../helpers/damage/try-damaged.js';
import { wholeFiles } from '../helpers/damage/whole-files.js';
import { tempFolder } from '../unit/io-helpers/temp-folder.js';

const root = tempFolder();

/** `npm run damaged` tries ten thousand. */
describe('damaged files', () => {
  it('three hundred of them: none hangs, crashes, is lost or changed; each is measured or named with a reason', async () => {
    const whole = await wholeFiles();
    const outcomes: DamagedOutcome[] = [];
    for (const seed of [1, 2, 3]) outcomes.push(await tryDamaged(path.join(root, `s${seed}`), whole, seed, 100));
    expect(outcomes.flatMap((outcome) => outcome.complaints)).toEqual([]);
    // The damage is real, and not so great that nothing is left to decode.
    const sum = (pick: 'measured' | 'named'): number => outcomes.reduce((total, outcome) => total + outcome[pick], 0);
    expect(sum('named')).toBeGreaterThan(100);
    expect(sum('measured')).toBeGreaterThan(30);
  });
});
