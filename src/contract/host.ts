import type { RailReport, RailRequest } from './rail.js';
import type { Report } from './report.js';

/** What the window may ask of the program around it. Two transports carry it: Electron's messages and HTTP on the loopback address. */
export interface Host {
  readonly kind: 'desktop' | 'browser';
  start(): Promise<StartInfo>;
  /** The system's own folder dialog; null where it was closed. Only where `StartInfo.folderDialog` is true. */
  pickFolder(): Promise<string | null>;
  /** Folders below `folder` (null: the home folder), for a host without a dialog. */
  listFolders(folder: string | null): Promise<FolderListing>;
  /** Where a dropped folder lies; null where that can't be told. */
  locateDrop(drop: DroppedFolder): Promise<string | null>;
  openStack(folder: string): Promise<StackInfo>;
  recentStacks(): Promise<RecentStack[]>;
  forgetStack(folder: string): Promise<RecentStack[]>;
  /** Reads and measures every frame. Aborting ends it within a second; the promise then rejects with a CancelledError. */
  analyse(stackId: string, settings: Settings, onEvent: (event: AnalysisEvent) => void, signal: AbortSignal): Promise<Report>;
  /**
   * The same measurements under other settings, without reading a frame. Where other optics ask for another solve, a partial report comes at
   * once and the refined one follows. Aborting lets go of the refining.
   */
  regrade(stackId: string, settings: Settings, onEvent: (event: AnalysisEvent) => void, signal: AbortSignal): Promise<Report>;
  /** What the rail did, from the stack's last report; throws where there is none yet. */
  rail(stackId: string, request: RailRequest): Promise<RailReport>;
  /** Reports after each frame that arrives in the folder, until aborted. */
  watch(folder: string, settings: Settings, onEvent: (event: WatchEvent) => void, signal: AbortSignal): Promise<void>;
  /** Part of a frame, or of the picture put together from all. */
  picture(request: PictureRequest, signal?: AbortSignal): Promise<Picture>;
  rigCards(): Promise<RigCardInfo[]>;
  saveRigCard(card: RigCardInfo): Promise<RigCardInfo[]>;
  /** Under another name; throws a UserError where there is no such card, or another has that name. */
  renameRigCard(name: string, to: string): Promise<RigCardInfo[]>;
  deleteRigCard(name: string): Promise<RigCardInfo[]>;
  exportReport(stackId: string, format: ExportFormat, settings: Settings): Promise<ExportedFile>;
}

export const RIG_FIELDS = ['magnification', 'fNumber', 'pupilRatio', 'pixelPitchUm', 'wavelengthNm', 'railUnitUm', 'workingDistanceMm'] as const;
export type RigField = (typeof RIG_FIELDS)[number];
export type RigNumbers = Partial<Record<RigField, number>>;

/** What the window can set. Entered values go before the rig card's, these before the file's. */
export interface Settings {
  entered: RigNumbers;
  rigCard: RigCardInfo | null;
  /** Overlap asked of the top-up, 0 … 0.9. */
  overlap: number;
  outputWidthPx: number | null;
}

export interface RigCardInfo { name: string; cameraModel?: string; values: RigNumbers }
export interface RecentStack { folder: string; name: string; openedAt: string }
export interface StartInfo {
  version: string;
  folderDialog: boolean;
  /** The folder named when the program was started. */
  folder: string | null;
  rigCard: RigCardInfo | null;
  recent: RecentStack[];
  rigCards: RigCardInfo[];
}
export interface FolderListing { folder: string; parent: string | null; folders: { name: string; folder: string; pictures: number }[]; pictures: number }
/** `handle` is what the window system dropped; only the desktop host can read a path from it. */
export interface DroppedFolder { name: string; files: string[]; handle: unknown }

export interface StackInfo {
  stackId: string;
  folder: string;
  name: string;
  width: number;
  height: number;
  cameraModel: string | null;
  frames: { frameId: string; file: string; width: number; height: number; problem: string | null }[];
}

export interface AnalysisProgress { stage: 'reading' | 'solving'; done: number; all: number; elapsedMs: number; leftMs: number | null }
export type AnalysisEvent =
  | { kind: 'progress'; progress: AnalysisProgress }
  | { kind: 'partial'; report: Report }
  | { kind: 'report'; report: Report };

export type WatchEvent =
  | { kind: 'waiting'; frames: number; message: string }
  /**
   * `newest`: the frame that has just come; null in a pause, and where many came at once. `whole`: all frames were looked at together; after a quick
   * look at the newest the rest of the report is what was known before.
   */
  | { kind: 'report'; report: Report; newest: string | null; whole: boolean; message: string };

/** A rectangle of a frame at a level: level 0 is every pixel, each further level halves both sides. Rows and columns count pixels of that level. */
export interface PictureRequest {
  stackId: string;
  /** A frame's id, or the picture put together from the sharpest tiles of the last report. */
  picture: string | 'sharpest';
  level: number;
  row: number;
  column: number;
  rows: number;
  columns: number;
}

/** An encoded picture; `note` says in words what of it could not be shown as it should. */
export interface Picture { blob: Blob; note: string | null }

export const EXPORT_FORMATS = ['html', 'pdf', 'json', 'csv-steps', 'csv-frames', 'height-tiff', 'height-png'] as const;
export type ExportFormat = (typeof EXPORT_FORMATS)[number];
export interface ExportedFile { fileName: string; mediaType: string; encoding: 'text' | 'base64'; content: string }
