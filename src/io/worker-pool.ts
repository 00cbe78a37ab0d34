import { Worker } from 'node:worker_threads';
import { endAhead, takeAhead } from './workers-ahead.js';

/** A worker ended while it had a task: out of memory, or brought down by what it read. */
export class WorkerLostError extends Error {
  constructor(reason: string) { super(`the worker ended: ${reason}`); this.name = 'WorkerLostError'; }
}

/** A worker did not answer for so long that nothing can be expected of it any more. */
export class WorkerSilentError extends Error {
  constructor(readonly afterMs: number) { super(`no answer for ${Math.round(afterMs / 1000)} s`); this.name = 'WorkerSilentError'; }
}

/** The task was not tried any more: too many workers fell silent. */
export class TaskUntriedError extends Error {
  constructor() { super('not tried'); this.name = 'TaskUntriedError'; }
}

/** The task itself failed; the worker goes on. */
export class TaskFailedError extends Error {
  constructor(reason: string) { super(reason); this.name = 'TaskFailedError'; }
}

/** What a worker answers: first "ready", then one answer a task. */
export type WorkerAnswer<Result> = { ready: true } | { result: Result } | { failed: string };

/** `alone`: a worker was lost that held it and another, and nothing tells which of the two it died of. */
interface Job<Task, Result> { task: Task; alone: boolean; resolve: (result: Result) => void; reject: (error: Error) => void }
/** `jobs`: the one being done, and one handed over ahead, so that the worker need not wait for this thread between them. */
interface Member<Task, Result> { worker: Worker; ready: boolean; jobs: Job<Task, Result>[]; patience: NodeJS.Timeout | undefined }

/** Idle workers are kept this long for a following run, unless told otherwise; they never keep the process alive. */
const IDLE_MS = 2_000;
/**
 * A thread that hangs inside the system can't be ended, and holds one of the four threads that all file access of the process shares (libuv's
 * default): before the last of them is gone, no more are risked.
 */
const MOST_SILENT = 2;

/**
 * Worker threads that do one task at a time. A worker that dies, or does not answer for too long, takes only the task it was at with it: that one
 * is rejected and another worker started in its place.
 */
export class WorkerPool<Task, Result> {
  private readonly members = new Set<Member<Task, Result>>();
  private readonly queue: Job<Task, Result>[] = [];
  private idleTimer: NodeJS.Timeout | undefined;
  private silent = 0;

  /** @param file compiled worker module; @param size most workers at a time, 1 or more; @param patienceMs time a task may take; @param idleMs how long idle workers are kept, null: until stopped */
  constructor(private readonly file: string, private readonly size: number, private readonly patienceMs: number, private readonly idleMs: number | null = IDLE_MS) {
    if (!(size >= 1)) throw new RangeError(`a pool needs 1 worker or more, got ${size}`);
  }

  /**
   * @throws WorkerLostError where the worker died of the task, WorkerSilentError where it did not answer in time, TaskUntriedError where too many
   *   did not, TaskFailedError where it said why the task can't be done
   */
  run(task: Task): Promise<Result> {
    return new Promise((resolve, reject) => {
      this.queue.push({ task, alone: false, resolve, reject });
      this.assign();
    });
  }

  /** Ends all workers at once; tasks not yet answered are rejected with the error. */
  stop(error: Error): void {
    clearTimeout(this.idleTimer);
    const members = [...this.members];
    this.members.clear();
    for (const member of members) { clearTimeout(member.patience); void member.worker.terminate(); for (const job of member.jobs) job.reject(error); }
    for (const job of this.queue.splice(0)) job.reject(error);
  }

  private assign(): void {
    clearTimeout(this.idleTimer);
    if (this.silent >= MOST_SILENT) for (const job of this.queue.splice(0)) job.reject(new TaskUntriedError());
    let free = [...this.members].filter((member) => member.jobs.length === 0).length;
    for (; free < this.queue.length && this.members.size < this.size; free++) this.start();
    if (this.members.size === this.size) endAhead(this.file);
    // A task is handed over only once its worker is up: else a task that kills its worker would look like a worker that can't start.
    const ready = [...this.members].filter((member) => member.ready);
    for (const member of ready) if (member.jobs.length === 0) this.handOver(member);
    // Ahead only while there is enough for all: at the end no worker is to have two where another has none.
    const allBusy = ready.length === this.members.size && ready.every((member) => member.jobs.length > 0);
    for (const member of ready) if (allBusy && member.jobs.length === 1 && !member.jobs[0].alone && !this.queue[0]?.alone && this.queue.length >= this.members.size) this.handOver(member);
    if (this.idleMs !== null && this.queue.length === 0 && [...this.members].every((member) => member.jobs.length === 0)) {
      this.idleTimer = setTimeout(() => this.stop(new Error('idle')), this.idleMs).unref();
    }
  }

  private handOver(member: Member<Task, Result>): void {
    const job = this.queue.shift();
    if (!job) return;
    member.jobs.push(job);
    member.worker.ref();
    member.worker.postMessage(job.task);
    if (member.jobs.length === 1) this.startPatience(member);
  }

  private startPatience(member: Member<Task, Result>): void {
    clearTimeout(member.patience);
    member.patience = setTimeout(() => this.fellSilent(member), this.patienceMs);
  }

  private start(): void {
    const ahead = takeAhead(this.file), member: Member<Task, Result> = { worker: ahead?.worker ?? new Worker(this.file), ready: ahead?.ready ?? false, jobs: [], patience: undefined };
    this.members.add(member);
    member.worker.on('message', (answer: WorkerAnswer<Result>) => this.answered(member, answer));
    member.worker.on('error', (error) => this.lost(member, error.message));
    member.worker.on('exit', (code) => this.lost(member, `status ${code}`));
  }

  private answered(member: Member<Task, Result>, answer: WorkerAnswer<Result>): void {
    if ('ready' in answer) { member.ready = true; member.worker.unref(); this.assign(); return; }
    const job = member.jobs.shift();
    if (member.jobs.length) this.startPatience(member);
    else { clearTimeout(member.patience); member.worker.unref(); }
    if ('failed' in answer) job?.reject(new TaskFailedError(answer.failed));
    else job?.resolve(answer.result);
    this.assign();
  }

  private fellSilent(member: Member<Task, Result>): void {
    if (!this.members.delete(member)) return;
    this.silent++;
    // Ends a thread that computes without end; one that waits for the system stays, and must not keep the process alive.
    member.worker.unref();
    void member.worker.terminate();
    this.giveUp(member, new WorkerSilentError(this.patienceMs));
    this.assign();
  }

  /**
   * The task a worker was at is rejected; the one it held besides is for another. Where it was lost while it held two, both are tried again alone: the answer to
   * the first may have been on its way.
   */
  private giveUp(member: Member<Task, Result>, error: Error): void {
    if (member.jobs.length > 1 && error instanceof WorkerLostError) {
      this.queue.unshift(...member.jobs.map((job) => ({ ...job, alone: true })));
      return;
    }
    const [job, ...ahead] = member.jobs;
    this.queue.unshift(...ahead);
    job?.reject(error);
  }

  private lost(member: Member<Task, Result>, reason: string): void {
    if (!this.members.delete(member)) return;
    clearTimeout(member.patience);
    // A worker that never came up would fail for every task alike: that is a broken installation, not a broken task.
    const error = member.ready ? new WorkerLostError(reason) : new Error(`The reader can't start (${reason})`);
    this.giveUp(member, error);
    if (!member.ready) { this.stop(error); return; }
    this.assign();
  }
}
