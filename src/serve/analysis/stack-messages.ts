import type { AnalysisEvent, Settings } from '../../contract/host.js';
import type { WireError } from '../../contract/channels.js';
import type { Report } from '../../contract/report.js';

/** What a folder turned out to hold. */
export interface OpenedFrames { folder: string; cameraModel: string | null; frames: { file: string; rows: number; columns: number; problem: string | null }[] }

/** What the host asks of the thread that keeps one stack's measurements. */
export type StackOrder = { id: number; kind: 'analyse' | 'regrade'; settings: Settings } | { id: number; kind: 'let-go' };

/** What that thread says: first what is in the folder, then answers. */
export type StackAnswer =
  | { opened: OpenedFrames }
  | { notOpened: WireError; detail: string }
  | { id: number; event: AnalysisEvent }
  | { id: number; report: Report }
  | { id: number; error: WireError; detail: string };

/** The part of them that answers a question. */
export type StackReply = Extract<StackAnswer, { id: number }>;
