import type { AnalysisEvent, Settings } from '../contract/host.js';
import type { Report } from '../contract/report.js';

/** One opened folder and the measurements made of it, wherever they are kept. The window's process never reads or solves itself. */
export interface Analysis {
  readonly folder: string;
  readonly cameraModel: string | null;
  /** Are there measurements to judge? They are lost with the thread that held them. */
  readonly measured: boolean;
  readonly frames: readonly { file: string; rows: number; columns: number; problem: string | null }[];
  /** @throws CancelledError within a second of the signal */
  analyse(settings: Settings, onEvent: (event: AnalysisEvent) => void, signal: AbortSignal): Promise<Report>;
  /** Same measurements, other settings, at first perhaps partially; throws a UserError where nothing has been measured yet, a CancelledError when let go. */
  regrade(settings: Settings, onEvent: (event: AnalysisEvent) => void, signal: AbortSignal): Promise<Report>;
  close(): Promise<void>;
}

export type OpenAnalysis = (folder: string) => Promise<Analysis>;
