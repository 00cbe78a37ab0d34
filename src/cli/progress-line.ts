import type { Progress } from '../pipeline/analyse-request.js';
import type { Terminal } from './command-context.js';
import { progressText } from './text/progress-text.js';

const ERASE_LINE = '\r\x1b[2K';

/** A line that is rewritten in place while work goes on; nothing at all where standard error is no terminal, or `quiet`. */
export function progressLine(terminal: Terminal, quiet: boolean): { show: (progress: Progress) => void; clear: () => void } {
  let shown = false;
  return {
    show: (progress) => {
      if (quiet || !terminal.isTTY) return;
      terminal.write(`${ERASE_LINE}${progressText(progress, terminal.columns)}`);
      shown = true;
    },
    clear: () => { if (shown) { terminal.write(ERASE_LINE); shown = false; } },
  };
}
