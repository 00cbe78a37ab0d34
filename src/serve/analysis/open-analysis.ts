import { CancelledError } from '../../contract/errors.js';
import type { Analysis } from '../analysis-port.js';
import { StackThread } from './stack-thread.js';

/**
 * Opens a folder for the window; listing, reading and solving happen in a thread of their own, which keeps the measurements for re-grading.
 * @throws UserError as openFolder does
 */
export async function openAnalysis(folder: string): Promise<Analysis> {
  let thread = new StackThread(folder), measuredBy: StackThread | null = null;
  /** Reading can't be stopped but by ending its thread: the next question then gets a new one, which opens the folder again. */
  const running = (): StackThread => (thread.ended ? (thread = new StackThread(folder)) : thread);
  const opened = await thread.opened.catch((error: Error) => { thread.end(error); throw error; });
  return {
    ...opened,
    get measured() { return measuredBy === thread && !thread.ended; },
    async analyse(settings, onEvent, signal) {
      if (signal.aborted) throw new CancelledError();
      const asked = running();
      const report = await asked.ask('analyse', settings, onEvent, signal, () => asked.end(new CancelledError()));
      measuredBy = asked;
      return report;
    },
    async regrade(settings, onEvent, signal) {
      if (signal.aborted) throw new CancelledError();
      const asked = running();
      return asked.ask('regrade', settings, onEvent, signal, (id) => asked.letGo(id));
    },
    async close() { thread.end(new CancelledError()); },
  };
}
