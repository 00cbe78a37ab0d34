import { spawnSync } from 'node:child_process';
import { writeFileSync } from 'node:fs';
import path from 'node:path';
import { pathToFileURL } from 'node:url';
import { describe, expect, it } from 'vitest';
import { aheadOf, aheadUp, startAhead } from '../../src/io/workers-ahead.js';
import { tempFolder } from './io-helpers/temp-folder.js';

const folder = tempFolder(), worker = path.resolve('tests/unit/io-helpers/fragile-worker.mjs');

describe('aheadUp', () => {
  it('waits for threads that come up, though they keep no process alive', () => {
    const built = pathToFileURL(path.resolve('dist/io/workers-ahead.js')).href, script = path.join(folder, 'waits.mjs'), name = JSON.stringify(worker);
    writeFileSync(script, `import { aheadOf, aheadUp, startAhead } from '${built}';\nstartAhead(${name}, 2);\nawait aheadUp(${name});\nconsole.log(aheadOf(${name}).length);\n`);
    // Status 13: nothing was left to run while something was still waited for (Node's process exit codes).
    const { status, stdout } = spawnSync(process.execPath, [script], { encoding: 'utf8' });
    expect([status, stdout]).toEqual([0, '2\n']);
  });
  it('does not wait for one that can’t start', async () => {
    const broken = path.join(folder, 'broken.mjs');
    writeFileSync(broken, 'throw new Error("broken");');
    startAhead(broken, 1);
    await aheadUp(broken);
    expect(aheadOf(broken)).toEqual([]);
  });
  it('has nothing to wait for where none was started', async () => { await aheadUp('/none.mjs'); });
});
