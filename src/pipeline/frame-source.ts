import type { FrameMeasure, MeasurePlan } from '../sharpness/measure-plan.js';

/** Facts a camera wrote into the file; null where absent, zero, infinite or not a number. */
export interface FrameFacts {
  cameraModel: string | null;
  fNumber: number | null;
  focalLengthMm: number | null;
  /** From the resolution tags, only where the file is neither resized nor cropped. */
  pixelPitchUm: number | null;
  captureTimeMs: number | null;
  /** Sensor pixels that one pixel of the picture spans along an axis; 1, or absent: the picture is as large as the shot. */
  sensorPixelsPerPixel?: number;
  /** Width the camera wrote, where the file has another and nothing says why: it was resized or cropped. */
  otherColumns?: number;
}

export interface SourceFrame {
  file: string;
  /** Pixels as shown, after EXIF orientation; 0 × 0 where the file can't be read. */
  rows: number;
  columns: number;
  facts: FrameFacts;
  /** Why the file can't be read, in the user's words; null where it can. */
  problem: string | null;
  /** The picture is the JPEG that the camera put into its raw file. */
  fromRaw?: boolean;
  /** Another file of the same frame, which is not counted. */
  beside?: string;
}

/** Where the frames come from. `io` reads folders through worker threads; tests may hold pictures in memory. */
export interface FrameSource {
  readonly folder: string;
  /** In file order: natural sort, capture time breaks ties. */
  readonly frames: readonly SourceFrame[];
  /**
   * Decodes and measures the named frames, several at a time, never keeping pixels.
   * @param onMeasured called once a frame, in any order
   * @param onFailed called instead where a frame can't be decoded; `reason` is in the user's words
   * @returns milliseconds spent decoding, summed over workers, and how many frames were known from an earlier run instead
   * @throws CancelledError when the signal fires
   */
  measure(indices: readonly number[], plan: MeasurePlan,
    onMeasured: (index: number, measure: FrameMeasure) => void,
    onFailed: (index: number, reason: string) => void,
    signal?: AbortSignal): Promise<{ decodeMs: number; cachedFrames?: number }>;
}
