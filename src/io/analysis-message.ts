import type { AnalyseRequest, Progress } from '../pipeline/analyse-request.js';
import type { Report } from '../contract/report.js';

/** The part of a request that can be sent to another thread. */
export type AnalysisOrder = Pick<AnalyseRequest, 'rig' | 'overlap' | 'outputWidthPx'> & { folder: string; cache: boolean };

/** What the analysis thread says. A failure the user can act on keeps its remedy; others keep their stack. */
export type AnalysisMessage =
  | { progress: Progress }
  | { report: Report }
  | { userError: { message: string; remedy: string } }
  | { failure: { message: string; stack: string } };
