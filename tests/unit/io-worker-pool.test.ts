import path from 'node:path';
import { afterEach, describe, expect, it } from 'vitest';
import { TaskFailedError, WorkerLostError, WorkerPool } from '../../src/io/worker-pool.js';

const file = path.resolve('tests/unit/io-helpers/fragile-worker.mjs');
let pool: WorkerPool<unknown, number>;
afterEach(() => pool.stop(new Error('done')));

describe('WorkerPool', () => {
  it('answers each task once, more tasks than workers', async () => {
    pool = new WorkerPool(file, 2);
    expect(await Promise.all([1, 2, 3, 4, 5, 6, 7].map((n) => pool.run(n)))).toEqual([2, 4, 6, 8, 10, 12, 14]);
  });
  it.each(['die', 'throw'])('goes on with the others when a worker is lost (%s)', async (death) => {
    pool = new WorkerPool(file, 2);
    const answers = await Promise.allSettled([1, death, 2, death, death, 3, 4].map((task) => pool.run(task)));
    expect(answers.map((answer) => (answer.status === 'fulfilled' ? answer.value : (answer.reason as Error).name)))
      .toEqual([2, 'WorkerLostError', 4, 'WorkerLostError', 'WorkerLostError', 6, 8]);
  });
  it('hands on why a task failed and keeps the worker', async () => {
    pool = new WorkerPool(file, 1);
    await expect(pool.run('fail')).rejects.toThrow(TaskFailedError);
    expect(await pool.run(4)).toBe(8);
  });
  it('stops at once, even a worker that never answers', async () => {
    pool = new WorkerPool(file, 1);
    const stuck = pool.run('hang'), queued = pool.run(1);
    await new Promise((resolve) => setTimeout(resolve, 200));
    const began = performance.now();
    pool.stop(new Error('enough'));
    await expect(stuck).rejects.toThrow('enough');
    await expect(queued).rejects.toThrow('enough');
    expect(performance.now() - began).toBeLessThan(500);
  });
  it('says that it can’t start rather than blaming every task', async () => {
    pool = new WorkerPool(path.resolve('tests/unit/io-helpers/absent.mjs'), 2);
    const failure: unknown = await pool.run(1).catch((error: unknown) => error);
    expect(failure).not.toBeInstanceOf(WorkerLostError);
    expect(String(failure)).toMatch(/can't start/);
  });
});
