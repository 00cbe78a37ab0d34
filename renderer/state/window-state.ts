import type { AnalysisProgress, RecentStack, RigCardInfo, Settings, StackInfo, WatchEvent } from '../../src/contract/host.js';
import type { RailReport, RailRequest } from '../../src/contract/rail.js';
import type { Report } from '../../src/contract/report.js';
import type { PicturePoint } from '../../src/optics/depth-profile.js';
import { NOT_LOOKED, type WholeLook } from './whole-look.js';

export const SCREENS = ['stack', 'plan', 'watch', 'rail'] as const;
export type Screen = (typeof SCREENS)[number];
export const PICTURE_MODES = ['soft', 'depth', 'frame'] as const;
export type PictureMode = (typeof PICTURE_MODES)[number];
export const SCHEMES = ['system', 'light', 'dark', 'bench'] as const;
export type Scheme = (typeof SCHEMES)[number];
/** Which measure of sharpness the focus curve shows: Laplacian variance in one of three bands, or high-frequency energy by FFT. */
export const CURVE_MEASURES = ['fine', 'middle', 'coarse', 'fft'] as const;
export type CurveMeasure = (typeof CURVE_MEASURES)[number];

/** The one thing picked, marked the same everywhere. Indices into the report's frames and steps; ends 0 nearest, 1 farthest. */
export type Mark = { kind: 'frame'; frame: number } | { kind: 'step'; step: number } | { kind: 'end'; end: 0 | 1 };

export interface Problem { message: string; remedy: string; /** What was being tried, so that it can be tried again. */ folder: string | null }

/** The rail screen's own stack: a flat, tilted target. It stays while another screen is looked at. */
export interface RailState {
  phase: 'idle' | 'reading' | 'ready' | 'failed';
  stack: StackInfo | null;
  progress: AnalysisProgress | null;
  report: Report | null;
  result: RailReport | null;
  request: RailRequest;
  problem: Problem | null;
}

/** A folder being watched; it goes on while another screen is looked at. */
export interface WatchState { folder: string; running: boolean; event: WatchEvent | null; /** What is known by the whole goes on when frames are only looked at quickly. */ wholeLook: WholeLook; problem: Problem | null }

export interface WindowState {
  screen: Screen;
  phase: 'starting' | 'no-stack' | 'opening' | 'analysing' | 'ready' | 'stopped' | 'failed';
  stack: StackInfo | null;
  report: Report | null;
  /** The report before the last re-check, to show what a top-up mended. */
  before: Report | null;
  /** Frames are still read: the report holds what is known so far. */
  provisional: boolean;
  progress: AnalysisProgress | null;
  problem: Problem | null;
  /** A lesser trouble: said in passing, without leaving the screen. */
  notice: string | null;
  /** The set-up was changed and the answer is on its way, or is being refined. */
  regrading: 'no' | 'asked' | 'refining';
  settings: Settings;
  mark: Mark | null;
  tile: number | null;
  pictureMode: PictureMode;
  pictureRevision: number;
  curveMeasure: CurveMeasure;
  /** A line through the picture whose depths are shown; `drawing` while the next drag draws one. */
  profile: { from: PicturePoint; to: PicturePoint } | null;
  drawing: boolean;
  recent: RecentStack[];
  rigCards: RigCardInfo[];
  folderDialog: boolean;
  version: string;
  scheme: Scheme;
  singleKeys: boolean;
  sound: boolean;
  dialog: 'open' | 'keys' | 'save-card' | 'cards' | null;
  /** What the open dialog chooses a folder for. */
  openFor: 'stack' | 'rail';
  /** Why the open dialog came up by itself, in words. */
  openWhy: string | null;
  rail: RailState;
  watch: WatchState;
}

export const INITIAL_STATE: WindowState = {
  screen: 'stack', phase: 'starting', stack: null, report: null, before: null, provisional: false, progress: null, problem: null, notice: null,
  regrading: 'no', settings: { entered: {}, rigCard: null, overlap: 0.3, outputWidthPx: null }, mark: null, tile: null,
  pictureMode: 'soft', pictureRevision: 0, curveMeasure: 'fine', profile: null, drawing: false,
  recent: [], rigCards: [], folderDialog: false, version: '', scheme: 'system', singleKeys: true, sound: false, dialog: null, openFor: 'stack', openWhy: null,
  rail: { phase: 'idle', stack: null, progress: null, report: null, result: null, request: { commandedUm: null, unitsPerFrame: null, tiltDeg: null }, problem: null },
  watch: { folder: '', running: false, event: null, wholeLook: NOT_LOOKED, problem: null },
};
