/** What a worker needs to know to measure a frame: the same for all frames of a stack. */
export interface MeasurePlan {
  /** Source pixels per measured pixel and axis: 1, 2, 3 … */
  bin: number;
  /** Cutoff of the lens in cycles per measured pixel (may exceed 0.5). */
  cutoff: number;
  /** Fine, middle, coarse. */
  bands: BandPlan[];
  /** Edge of the cells whose mean energies are handed back, in measured pixels. */
  cellPx: number;
  /** How often the registration picture is halved, from measured pixels. */
  registrationLevel: number;
}

export interface BandPlan {
  /** Centre frequency in cycles per measured pixel. */
  centre: number;
  /** The Laplacian of a Gaussian is applied this often. */
  order: number;
  /** Pyramid level it is measured on: 0 = measured pixels, 1 = halved once … */
  level: number;
  /** Edge of the box its energy is averaged over, in measured pixels. */
  boxPx: number;
}

interface MeasuredFrame {
  /** Measured pixels. */
  rows: number;
  columns: number;
  cellRows: number;
  cellColumns: number;
  /** Mean √luminance of the frame. */
  meanRoot: number;
  /** FFT energies of windows spread over the frame: one set a pyramid level that a band is measured on, in pixels of that level; null for other levels. */
  spectra: (SpectrumWindows | null)[];
}

/** A frame as it is measured. */
export interface PlainMeasure extends MeasuredFrame {
  /** Per band: mean squared response of √luminance in each cell, relative to the frame's mean √luminance squared. */
  energy: Float32Array[];
  /** Mean √luminance of each cell relative to the frame's mean. */
  brightness: Float32Array;
  /** Share of clipped measured pixels in each cell, 0…1. */
  clipped: Float32Array;
  /** Band-passed √luminance, halved `registrationLevel` times, relative to the frame's mean. */
  registration: { rows: number; columns: number; pixels: Float32Array };
}

/** What comes back from one frame: small enough to keep for hundreds of frames. */
export interface FrameMeasure extends MeasuredFrame {
  /** Per band, as short floats (image/short-floats.ts). */
  energy: Uint16Array[];
  /** As short floats. */
  brightness: Uint16Array;
  /** Clipped share of each cell, 0…255; null where no pixel is clipped. */
  clipped: Uint8Array | null;
  /** In an unit of its own. */
  registration: { rows: number; columns: number; pixels: Int16Array };
}

/** Radial energy spectra of square windows, by FFT, Hann-weighted, of √luminance relative to the frame's mean. */
export interface SpectrumWindows {
  /** Edge of a window in pixels. */
  sizePx: number;
  /** Centres in pixels. */
  row: Float32Array;
  column: Float32Array;
  /** Number of radial bins; bin i covers i/(2·bins) … (i+1)/(2·bins) cycles per pixel. */
  bins: number;
  /** windows × bins: mean power spectral density in the bin (variance per cycle² per pixel²: unit white noise gives 1). */
  power: Float32Array;
}
