import type {
  AnalysisEvent, ExportedFile, ExportFormat, FolderListing, PictureRequest, RecentStack, RigCardInfo, Settings, StackInfo, StartInfo, WatchEvent,
} from './host.js';
import type { RailReport, RailRequest } from './rail.js';

/** Every message between the window and its host, declared once. Both transports and both ends are checked against these three maps. */

/** One question, one answer. */
export interface CallMap {
  'start': { ask: null; answer: StartInfo };
  'pick-folder': { ask: null; answer: string | null };
  'list-folders': { ask: { folder: string | null }; answer: FolderListing };
  'locate-drop': { ask: { name: string; files: string[] }; answer: string | null };
  'open-stack': { ask: { folder: string }; answer: StackInfo };
  'recent-stacks': { ask: null; answer: RecentStack[] };
  'forget-stack': { ask: { folder: string }; answer: RecentStack[] };
  'rail': { ask: { stackId: string; request: RailRequest }; answer: RailReport };
  'rig-cards': { ask: null; answer: RigCardInfo[] };
  'save-rig-card': { ask: { card: RigCardInfo }; answer: RigCardInfo[] };
  'rename-rig-card': { ask: { name: string; to: string }; answer: RigCardInfo[] };
  'delete-rig-card': { ask: { name: string }; answer: RigCardInfo[] };
  'export': { ask: { stackId: string; format: ExportFormat; settings: Settings }; answer: ExportedFile };
}

/** One question, many answers; ends with the last of them, an error, or when the window lets go. */
export interface StreamMap {
  'analyse': { ask: { stackId: string; settings: Settings }; event: AnalysisEvent };
  'regrade': { ask: { stackId: string; settings: Settings }; event: AnalysisEvent };
  'watch': { ask: { folder: string; settings: Settings }; event: WatchEvent };
}

/** One question, encoded picture bytes. */
export interface BytesMap {
  'picture': { ask: PictureRequest; answer: { mediaType: string; bytes: Uint8Array; note: string | null } };
}

export type CallName = keyof CallMap;
export type StreamName = keyof StreamMap;
export type BytesName = keyof BytesMap;

/** Over HTTP a picture's note travels in this header, percent-encoded. */
export const NOTE_HEADER = 'x-rungwise-note';

/** How an error crosses the boundary: words for the photographer, nothing of the program's inside. */
export interface WireError { message: string; remedy: string; cancelled: boolean }

/** What carries the messages, as the window sees it; and, on the side that may read files, what answers them. */
export interface Messages {
  call<N extends CallName>(name: N, ask: CallMap[N]['ask']): Promise<CallMap[N]['answer']>;
  /** Resolves when the stream has ended; rejects with what ended it early. */
  stream<N extends StreamName>(name: N, ask: StreamMap[N]['ask'], onEvent: (event: StreamMap[N]['event']) => void, signal: AbortSignal): Promise<void>;
  bytes<N extends BytesName>(name: N, ask: BytesMap[N]['ask'], signal?: AbortSignal): Promise<BytesMap[N]['answer']>;
}
