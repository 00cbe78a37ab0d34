import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { expect, it } from 'vitest';
import { tryDamaged } from '../helpers/damage/try-damaged.js';
import { wholeFiles } from '../helpers/damage/whole-files.js';

/** DAMAGED_INPUTS and DAMAGED_SEED set how many and which; every hundred share a folder. */
const inputs = Number(process.env['DAMAGED_INPUTS'] ?? 10_000), first = Number(process.env['DAMAGED_SEED'] ?? 1_000);

it('damaged inputs, the long way', async () => {
  const folder = mkdtempSync(path.join(tmpdir(), 'rungwise-damaged-')), whole = await wholeFiles();
  const all = { tried: 0, measured: 0, named: 0, complaints: [] as string[] };
  try {
    for (let done = 0; done < inputs; done += 100) {
      const outcome = await tryDamaged(path.join(folder, `s${done}`), whole, first + done, Math.min(100, inputs - done));
      for (const count of ['tried', 'measured', 'named'] as const) all[count] += outcome[count];
      all.complaints.push(...outcome.complaints);
      if (done % 1000 === 0) console.log(`${all.tried} tried, ${all.measured} measured, ${all.named} named, ${all.complaints.length} complaints, ${Math.round(process.memoryUsage().rss / 1e6)} MB`);
    }
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
  console.log(`${all.tried} tried: ${all.measured} measured, ${all.named} named with a reason, ${all.complaints.length} complaints.`);
  expect(all.complaints).toEqual([]);
});
