import type { AnalyseRequest, Progress } from '../pipeline/analyse-request.js';
import type { Report } from '../contract/report.js';
import type { FoundCutoff } from '../ladder/find-cutoff.js';
import type { KeptEntries } from './watch/kept-measures.js';

/** The part of a request that can be sent to another thread; `kept`: measurements that the asking thread has. */
export type AnalysisOrder = Pick<AnalyseRequest, 'rig' | 'overlap' | 'outputWidthPx'> & { folder: string; cache: boolean; kept?: KeptEntries };

/** What the analysis thread says. A failure the user can act on keeps its remedy; others keep their stack. */
export type AnalysisMessage =
  | { progress: Progress }
  | { report: Report; cutoffFound: FoundCutoff | null }
  | { userError: { message: string; remedy: string } }
  | { failure: { message: string; stack: string } };
