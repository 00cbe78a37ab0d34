import type { Report, ValueSource } from '../contract/report.js';
import type { FoundCutoff } from '../ladder/find-cutoff.js';

/** What is known of the set-up, each value with where it came from. */
export interface RigValue { value: number; source: ValueSource }
export interface RigValues {
  magnification?: RigValue;
  fNumber?: RigValue;
  pupilRatio?: RigValue;
  pixelPitchUm?: RigValue;
  wavelengthNm?: RigValue;
  /** Travel of one rail unit (a mark, a turn, a pulse) in µm. */
  railUnitUm?: RigValue;
  workingDistanceMm?: RigValue;
}

export interface Progress { stage: 'reading' | 'solving'; done: number; all: number; elapsedMs: number; leftMs: number | null }

export interface AnalyseRequest {
  rig: RigValues;
  /** Overlap asked of the top-up, 0 … 0.9. */
  overlap: number;
  /** Width in pixels at which the final picture will be shown, or null for every pixel. */
  outputWidthPx: number | null;
  /** Put every tile's focus curve into the report: for windows; a megabyte or more. */
  withCurves?: boolean;
  /** Positions and steps soon rather than at their best: by few tiles, and for the cutoff found before where the lens is unknown. */
  quick?: { cutoffFound: FoundCutoff | null };
  signal?: AbortSignal;
  onProgress?: (progress: Progress) => void;
  /** A provisional report while frames are still read. */
  onPartial?: (report: Report) => void;
}
