/** One decoded frame as the engine reads it: the linear light of luma on measured pixels, with the clipped ones marked. */
export interface LumaPlane {
  rows: number;
  columns: number;
  /** Linear light of luma 0…1, row by row. */
  luminance: Float32Array;
  /** 1 where any channel of any source pixel is at or above the clipping level. */
  clipped: Uint8Array;
}
