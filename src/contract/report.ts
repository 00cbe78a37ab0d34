/** The report every command, window and script reads: schema rungwise.report/1. Field names are fixed. */

export const REPORT_SCHEMA = 'rungwise.report/1';

export type FrameFlag = 'blurred' | 'repeat' | 'shifted' | 'exposure' | 'subject-moved' | 'no-detail' | 'unreadable' | 'other-size';
export type Grade = 'good' | 'thin' | 'gap' | 'unmeasured';
export type Decision = 'keep' | 'top-up' | 'reshoot' | 'undecided';
export type Direction = 'near-first' | 'far-first' | 'mixed' | 'unknown';
export type Severity = 'info' | 'warn' | 'fault';
export type TileState = 'sharp' | 'soft' | 'beyond-near' | 'beyond-far' | 'no-detail';
export type ValueSource = 'option' | 'rig-card' | 'exif' | 'default' | 'derived' | 'unknown';
export type OpticsKey =
  | 'magnification' | 'fNumber' | 'pupilRatio' | 'pixelPitchUm' | 'wavelengthNm'
  | 'effectiveFNumber' | 'numericalAperture' | 'dofUm';

export interface SourcedValue { value: number | null; source: ValueSource }
export type OpticsReport = Record<OpticsKey, SourcedValue>;

export interface Frame {
  file: string;
  /** Depth of the plane of focus, in DOF from the nearest frame, growing away from the camera. */
  positionDof: number | null;
  positionSigmaDof: number | null;
  positionUm: number | null;
  exposureEv: number;
  shiftPx: { row: number; column: number };
  /** 1 = as sharp as its neighbours say it should be. */
  contrast: number;
  flags: FrameFlag[];
}

/** Between neighbours in `order`; `from` and `to` index `frames`. */
export interface Step {
  from: number;
  to: number;
  stepDof: number | null;
  /** Standard deviation of this step against the others; what all of them share under an unknown lens is `scaleSigma`. */
  sigmaDof: number | null;
  stepUm: number | null;
  overlap: number | null;
  grade: Grade;
  /** True: the step is at least this long. */
  atLeast: boolean;
  /** Share of the picture (0…1) left soft in this interval. */
  softAreaShare: number;
  /** Share of the picture (0…1) whose surface lies in this interval. */
  surfaceShare: number;
}

export interface End { side: 'near' | 'far' | 'first' | 'last'; open: boolean | null; areaShare: number }
export interface Finding { kind: string; severity: Severity; frames: number[]; message: string; remedy?: string }
export interface TopUp { after: number | null; before: number | null; frames: number; positionsDof: number[]; positionsUm: number[] | null }

export interface TileMap {
  rows: number;
  columns: number;
  /** Edge of a tile in pixels of the frame as shot. */
  tilePx: number;
  depthDof: (number | null)[];
  bestFrame: (number | null)[];
  /** 0 sharp … 1 lost. */
  contrastLoss: (number | null)[];
  state: TileState[];
}

export interface Report {
  schema: typeof REPORT_SCHEMA;
  version: string;
  stack: { folder: string; width: number; height: number; frames: Frame[]; order: number[]; direction: Direction };
  optics: OpticsReport;
  steps: Step[];
  ends: [End, End];
  findings: Finding[];
  verdict: { decision: Decision; reasons: string[] };
  topUp: TopUp[];
  tiles: TileMap;
  rail: { medianStepDof: number | null; medianStepUm: number | null; scatter: number | null };
  /** Beyond the fixed fields: relative uncertainty that all lengths in DOF share since the lens was found from the frames; absent where it is known. */
  scaleSigma?: number;
  /** The rig card behind the values whose source is 'rig-card'; `pickedFor` is the camera it was picked for, null where somebody named it. */
  rigCard?: { name: string; pickedFor: string | null };
  /** `cachedFrames`, beyond the fixed fields: frames not read because an earlier run had measured them. */
  timing: { totalMs: number; decodeMs: number; frames: number; megapixels: number; cachedFrames?: number };
  /** Beyond the fixed fields: what a window needs to draw focus curves without reading frames again. */
  curves?: FocusCurves;
}

/** Measured sharpness of the tiles per frame (noise floor taken off), for drawing. */
export interface FocusCurves extends BandCurves {
  /** tile index (into TileMap arrays) of each row of `amplitude`, here and in `coarser`. */
  tile: number[];
  /** The same an octave lower each: less fine detail, seen from further away. */
  coarser?: BandCurves[];
  spectrum?: SpectrumCurves;
}

/** Laplacian variance of one band, as amplitude (its square root). */
export interface BandCurves {
  /** rows × frames, in file order: amplitude relative to the tile's fitted in-focus amplitude; null where not measured. */
  amplitude: (number | null)[][];
  /** The fitted curve, the same for all tiles: amplitude at defocus (DOF). */
  fitted: { defocusDof: number[]; amplitude: number[] };
}

/** High-frequency energy by FFT, of windows spread over the picture, as amplitude. */
export interface SpectrumCurves {
  /** Edge of a window and its centre, in pixels of a frame. */
  sizePx: number;
  row: number[];
  column: number[];
  /** windows × frames, in file order, relative to the window's largest; null where not measured. */
  amplitude: (number | null)[][];
}
