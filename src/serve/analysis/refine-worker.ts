import { parentPort, workerData } from 'node:worker_threads';
import { startKernels } from '../../io/start-kernels.js';
import { regrade } from '../../pipeline/regrade.js';
import { wireError } from '../wire-error.js';
import { unpackStack, type PackedStack } from './packed-stack.js';
import { requestOfSettings } from './request-of-settings.js';
import type { StackReply, StackOrder } from './stack-messages.js';
import { thinCurves } from './thin-curves.js';

/** Solves a stack under one cutoff and keeps that solution. The thread that answers the window stays free meanwhile. */
const solved = unpackStack(workerData as PackedStack);
await startKernels();
const say = (answer: StackReply): void => parentPort?.postMessage(answer);

parentPort?.on('message', (order: StackOrder) => {
  if (order.kind === 'let-go') return;
  try {
    say({ id: order.id, report: thinCurves(regrade(solved, requestOfSettings(order.settings))) });
  } catch (error) {
    say({ id: order.id, error: wireError(error), detail: error instanceof Error ? error.stack ?? error.message : String(error) });
  }
});
