import type { AnalysisProgress, RecentStack, RigCardInfo, Settings, StackInfo } from '../../src/contract/host.js';
import type { Report } from '../../src/contract/report.js';

export const SCREENS = ['stack', 'plan', 'watch'] as const;
export type Screen = (typeof SCREENS)[number];
export const PICTURE_MODES = ['soft', 'depth', 'frame'] as const;
export type PictureMode = (typeof PICTURE_MODES)[number];
export const SCHEMES = ['system', 'light', 'dark', 'bench'] as const;
export type Scheme = (typeof SCHEMES)[number];

/** The one thing picked, marked the same everywhere. Indices into the report's frames and steps; ends 0 nearest, 1 farthest. */
export type Mark = { kind: 'frame'; frame: number } | { kind: 'step'; step: number } | { kind: 'end'; end: 0 | 1 };

export interface Problem { message: string; remedy: string; /** What was being tried, so that it can be tried again. */ folder: string | null }

export interface WindowState {
  screen: Screen;
  phase: 'starting' | 'no-stack' | 'opening' | 'analysing' | 'ready' | 'stopped' | 'failed';
  stack: StackInfo | null;
  report: Report | null;
  /** The report before the last re-check, to show what a top-up mended. */
  before: Report | null;
  provisional: boolean;
  progress: AnalysisProgress | null;
  problem: Problem | null;
  /** A lesser trouble: said in passing, without leaving the screen. */
  notice: string | null;
  regrading: boolean;
  settings: Settings;
  mark: Mark | null;
  tile: number | null;
  pictureMode: PictureMode;
  pictureRevision: number;
  recent: RecentStack[];
  rigCards: RigCardInfo[];
  folderDialog: boolean;
  version: string;
  scheme: Scheme;
  singleKeys: boolean;
  dialog: 'open' | 'keys' | 'save-card' | null;
}

export const INITIAL_STATE: WindowState = {
  screen: 'stack', phase: 'starting', stack: null, report: null, before: null, provisional: false, progress: null, problem: null, notice: null,
  regrading: false, settings: { entered: {}, rigCard: null, overlap: 0.3, outputWidthPx: null }, mark: null, tile: null,
  pictureMode: 'soft', pictureRevision: 0, recent: [], rigCards: [], folderDialog: false, version: '', scheme: 'system', singleKeys: true, dialog: null,
};
