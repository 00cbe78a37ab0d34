import { createRequire } from 'node:module';
import { Worker } from 'node:worker_threads';
import type { Settings } from '../../contract/host.js';
import { sameCutoff } from '../../pipeline/regrade.js';
import { wireError } from '../wire-error.js';
import type { PackedStack } from './packed-stack.js';
import type { StackReply, StackOrder } from './stack-messages.js';

const workerFile = createRequire(import.meta.url).resolve('#refine-worker');
/** Solutions under other cutoffs that are kept: what a photographer goes to and fro between. */
const KEPT = 2;

interface Refiner { cutoff: number; worker: Worker; waiting: Set<number>; solved: boolean }

/** Threads that solve one stack under other cutoffs, one a cutoff. Those nobody waits for any more are ended. */
export class Refiners {
  private refiners: Refiner[] = [];
  constructor(private readonly packed: PackedStack, private readonly say: (answer: StackReply) => void) {}

  /** Is the solution for this cutoff there already? */
  has(cutoff: number): boolean { return this.refiners.some((r) => r.solved && sameCutoff(r.cutoff, cutoff)); }

  refine(id: number, cutoff: number, settings: Settings): void {
    const refiner = this.refiners.find((r) => sameCutoff(r.cutoff, cutoff)) ?? this.start(cutoff);
    refiner.waiting.add(id);
    refiner.worker.postMessage({ id, kind: 'regrade', settings } satisfies StackOrder);
  }

  letGo(id: number): void {
    for (const refiner of this.refiners) {
      if (refiner.waiting.delete(id) && refiner.waiting.size === 0 && !refiner.solved) this.end(refiner);
    }
  }

  close(): void { for (const refiner of this.refiners) this.end(refiner); }

  private start(cutoff: number): Refiner {
    const idle = this.refiners.filter((r) => r.waiting.size === 0);
    for (const old of idle.slice(0, Math.max(0, idle.length + 1 - KEPT))) this.end(old);
    const worker = new Worker(workerFile, { workerData: this.packed });
    const refiner: Refiner = { cutoff, worker, waiting: new Set(), solved: false };
    worker.on('message', (answer: StackReply) => {
      refiner.solved = refiner.solved || 'report' in answer;
      if (refiner.waiting.delete(answer.id)) this.say(answer);
    });
    worker.on('error', (error) => {
      for (const id of refiner.waiting) this.say({ id, error: wireError(error), detail: error.stack ?? error.message });
      this.end(refiner);
    });
    this.refiners.push(refiner);
    return refiner;
  }

  private end(refiner: Refiner): void {
    this.refiners = this.refiners.filter((r) => r !== refiner);
    refiner.waiting.clear();
    void refiner.worker.terminate();
  }
}
