import type { AnalysisEvent, Settings } from '../../contract/host.js';
import type { WireError } from '../../contract/channels.js';
import type { Report } from '../../contract/report.js';

/** What the host asks of the thread that keeps one stack's measurements. */
export type StackOrder = { id: number; kind: 'analyse' | 'regrade'; settings: Settings } | { id: number; kind: 'let-go' };

/** What that thread says. */
export type StackAnswer =
  | { id: number; event: AnalysisEvent }
  | { id: number; report: Report }
  | { id: number; error: WireError; detail: string };
