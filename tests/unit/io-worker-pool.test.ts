import path from 'node:path';
import { afterEach, describe, expect, it, vi } from 'vitest';
import { aheadOf, startAhead } from '../../src/io/workers-ahead.js';
import { TaskFailedError, TaskUntriedError, WorkerLostError, WorkerPool, WorkerSilentError } from '../../src/io/worker-pool.js';

const file = path.resolve('tests/unit/io-helpers/fragile-worker.mjs');
const LONG_MS = 60_000;
let pool: WorkerPool<unknown, number>;
afterEach(() => pool.stop(new Error('done')));

describe('WorkerPool', () => {
  it('answers each task once, more tasks than workers', async () => {
    pool = new WorkerPool(file, 2, LONG_MS);
    expect(await Promise.all([1, 2, 3, 4, 5, 6, 7].map((n) => pool.run(n)))).toEqual([2, 4, 6, 8, 10, 12, 14]);
  });
  it.each(['die', 'throw'])('goes on with the others when a worker is lost (%s)', async (death) => {
    pool = new WorkerPool(file, 2, LONG_MS);
    const answers = await Promise.allSettled([1, death, 2, death, death, 3, 4].map((task) => pool.run(task)));
    expect(answers.map((answer) => (answer.status === 'fulfilled' ? answer.value : (answer.reason as Error).name)))
      .toEqual([2, 'WorkerLostError', 4, 'WorkerLostError', 'WorkerLostError', 6, 8]);
  });
  it.each(['die', 'throw'])('puts another in the place of the only worker (%s)', async (death) => {
    pool = new WorkerPool(file, 1, LONG_MS);
    const answers = await Promise.allSettled([death, 2, death, 3].map((task) => pool.run(task)));
    expect(answers.map((answer) => (answer.status === 'fulfilled' ? answer.value : (answer.reason as Error).name))).toEqual(['WorkerLostError', 4, 'WorkerLostError', 6]);
  });
  it('hands on why a task failed and keeps the worker', async () => {
    pool = new WorkerPool(file, 1, LONG_MS);
    await expect(pool.run('fail')).rejects.toThrow(TaskFailedError);
    expect(await pool.run(4)).toBe(8);
  });
  it('stops at once, even a worker that never answers', async () => {
    pool = new WorkerPool(file, 1, LONG_MS);
    const stuck = pool.run('hang'), queued = pool.run(1);
    await new Promise((resolve) => setTimeout(resolve, 200));
    const began = performance.now();
    pool.stop(new Error('enough'));
    await expect(stuck).rejects.toThrow('enough');
    await expect(queued).rejects.toThrow('enough');
    expect(performance.now() - began).toBeLessThan(500);
  });
  it.each(['hang', 'sleep'])('replaces a worker that does not answer (%s) and names its task alone', async (silence) => {
    pool = new WorkerPool(file, 1, 400);
    const answers = await Promise.allSettled([1, silence, 2, 3].map((task) => pool.run(task)));
    expect(answers.map((answer) => (answer.status === 'fulfilled' ? answer.value : (answer.reason as Error).name))).toEqual([2, 'WorkerSilentError', 4, 6]);
    expect(String((answers[1] as PromiseRejectedResult).reason)).toMatch(/no answer for 0 s/);
  });
  it('gives each task its own time, however long all of them take', async () => {
    pool = new WorkerPool(file, 1, 400);
    const began = performance.now();
    // 5 ms each, a hundred of them: longer together than one may take.
    expect(await Promise.all(Array.from({ length: 100 }, (_, n) => pool.run(n)))).toHaveLength(100);
    expect(performance.now() - began).toBeGreaterThan(450);
  });
  it('gives no worker a second task at the end while another has none', async () => {
    pool = new WorkerPool(file, 2, LONG_MS);
    await Promise.all([pool.run(1), pool.run(2)]);
    const done: unknown[] = [];
    await Promise.all(['slow', 1, 2].map((task) => pool.run(task).then(() => done.push(task))));
    expect(done).toEqual([1, 2, 'slow']);
  });
  it('takes workers that were started ahead, and ends the ones it has no use for', async () => {
    startAhead(file, 3);
    const ahead = aheadOf(file);
    expect(ahead).toHaveLength(3);
    await new Promise((resolve) => setTimeout(resolve, 300));
    pool = new WorkerPool(file, 2, LONG_MS);
    expect(await Promise.all([1, 2, 3].map((n) => pool.run(n)))).toEqual([2, 4, 6]);
    expect(aheadOf(file)).toHaveLength(0);
    // A thread that has ended has no number any more (Node’s worker.threadId).
    await vi.waitFor(() => expect(ahead.filter((worker) => worker.threadId === -1)).toHaveLength(1));
  });
  it('tries no more tasks once two came to no end: each may hold a thread of the system’s', async () => {
    pool = new WorkerPool(file, 1, 400);
    const answers = await Promise.allSettled([1, 'hang', 'hang', 2, 3].map((task) => pool.run(task)));
    const errors = answers.map((answer) => (answer.status === 'fulfilled' ? null : answer.reason as unknown));
    expect(errors[0]).toBeNull();
    for (const error of errors.slice(1, 3)) expect(error).toBeInstanceOf(WorkerSilentError);
    for (const error of errors.slice(3)) expect(error).toBeInstanceOf(TaskUntriedError);
  });
  it('says that it can’t start rather than blaming every task', async () => {
    pool = new WorkerPool(path.resolve('tests/unit/io-helpers/absent.mjs'), 2, LONG_MS);
    const failure: unknown = await pool.run(1).catch((error: unknown) => error);
    expect(failure).not.toBeInstanceOf(WorkerLostError);
    expect(String(failure)).toMatch(/can't start/);
  });
});
