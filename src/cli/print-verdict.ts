import { CancelledError, UserError } from '../contract/errors.js';
import type { RigCardInfo } from '../contract/host.js';
import type { Backend } from '../serve/backend.js';
import { reportText } from './text/report-text.js';

/** Checks the folder a window was started with and prints the verdict; the window shares that reading. */
export async function printVerdict(backend: Pick<Backend, 'checkAtStart' | 'rigCard'>, out: { write(text: string): unknown; columns?: number }, signal: AbortSignal): Promise<void> {
  try {
    const report = await backend.checkAtStart(signal);
    out.write(reportText(report, railOf(backend.rigCard), { columns: Math.min(out.columns ?? 100, 100), colour: false }));
  } catch (error) {
    if (error instanceof CancelledError) return;
    out.write(`${error instanceof UserError ? error.line : 'The stack could not be checked.'}\n`);
  }
}

const railOf = (card: RigCardInfo | null): { railUnitUm: number | null; workingDistanceMm: number | null } =>
  ({ railUnitUm: card?.values.railUnitUm ?? null, workingDistanceMm: card?.values.workingDistanceMm ?? null });
