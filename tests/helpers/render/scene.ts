/** A surface, or part of one, on the renderer's grid. Light from it is hidden by groups nearer to the camera. */
export interface SurfaceGroup {
  /** Depth of each grid point in units of λ/NA², growing away from the camera. */
  depth: Float32Array;
  /** Linear reflected light of each grid point, one plane for a grey scene, three for colour; any scale. */
  light: Float32Array[];
  /** 0…1, how far the group covers what lies behind; null for the backmost group, which covers everything. */
  cover: Float32Array | null;
}

/** What stands before the lens. The grid wraps around: keep frames a blur disc's radius inside its edges. */
export interface Scene {
  rows: number;
  columns: number;
  /** Grid points per picture pixel and axis. */
  oversample: number;
  /** Nearest first; the last one covers the whole grid. */
  groups: SurfaceGroup[];
}

/** How one frame of a scene is taken. */
export interface Pose {
  /** Depth of the plane of focus, same unit and zero as the scene's depths. */
  focus: number;
  /** Size of the picture against the scene's own, about the middle. */
  scale: number;
  /** Turn about the middle. */
  turnRad: number;
  /** How far the picture's content has moved. */
  shiftPx: { row: number; column: number };
  /** Straight movement during the exposure, as its extent along both axes; null for a still frame. */
  shakePx: { row: number; column: number } | null;
}
