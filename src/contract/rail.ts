/** What a rail really does, measured from a stack of a flat, tilted target: schema rungwise.rail/1. Field names are fixed. */

export const RAIL_SCHEMA = 'rungwise.rail/1';

export interface RailRequest {
  /** What the rail was told to move from one frame to the next; null where nobody says. */
  commandedUm: number | null;
  /** Rail units moved per frame; with it, the real length of a unit is found. */
  unitsPerFrame: number | null;
  /** Angle between the target and the plane square to the lens, in degrees, 0 … 85; null: not measured. With it, lengths come from the picture's own geometry. */
  tiltDeg: number | null;
}

/** One frame of the rail's chart, in the order the frames were shot. */
export interface RailFrame {
  /** Index into the report's frames. */
  frame: number;
  /** Depth of focus as measured. */
  measuredUm: number;
  sigmaUm: number | null;
  /** Where it would be if the rail did the measured step, with its slack, every time. */
  expectedUm: number;
}

export interface RailReport {
  schema: typeof RAIL_SCHEMA;
  commandedUm: number | null;
  /** The step the rail really made; null: cannot tell in µm. */
  measuredUm: number | null;
  measuredSigmaUm: number | null;
  /** The same in depths of field. */
  measuredDof: number | null;
  /** How single steps differ from it (robust standard deviation); holds what the measurement itself adds. */
  scatterUm: number | null;
  /** What the measurement adds to the scatter. */
  measurementUm: number | null;
  /** Way the rail was driven before it moved: at the turn where the stack turns back, else at its start. Null: cannot tell. */
  slackUm: number | null;
  slackAt: 'start' | 'turn' | null;
  slackSigmaUm: number | null;
  /** Change of the step from the first to the last of the longest run, relative: 0.05 = five per cent longer at the end. */
  drift: number;
  driftSigma: number | null;
  /**
   * Regular error of the screw, where there are frames enough to tell it from chance: the carriage is ahead of even steps by
   * amplitude · sin(2π · way / period + phase), way counted from where it first moved.
   */
  periodic: { periodUm: number; amplitudeUm: number; phaseDeg: number } | null;
  /** Single jumps beyond what the steps scatter: after which frame, and how far beyond the step. */
  slips: { afterFrame: number; um: number }[];
  /** Frames that were shot but are not there, by the numbers in the file names; `moved`: whether the rail seems to have moved for them. */
  missing: { afterFrame: number; count: number; moved: boolean }[];
  /** Real length of a rail unit, where the units per frame were said. */
  railUnitUm: number | null;
  /** How far the target is from a plane (robust standard deviation); null where too little of it could be measured. */
  flatnessUm: number | null;
  /** Where lengths come from: the target's tilt, the optics, or nowhere. */
  scaleFrom: 'tilt' | 'optics' | 'unknown';
  frames: number;
  chart: RailFrame[];
  cautions: string[];
}
