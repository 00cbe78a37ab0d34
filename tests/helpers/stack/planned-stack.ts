import type { Lens } from '../render/lens.js';
import type { Pose, Scene } from '../render/scene.js';
import type { Sensor } from '../render/sensor.js';

/** One exposure to be made. */
export interface PlannedFrame {
  pose: Pose;
  /** Which of the stack's scenes stands before the lens (the subject may move). */
  scene: number;
  /** Light at level 1 is scene light × gain. */
  gain: number;
}

/** Everything about a stack before it is rendered: what stands there, how it is shot, what is wrong with it. */
export interface PlannedStack {
  name: string;
  lens: Lens;
  sensor: Sensor;
  picture: { rows: number; columns: number };
  scenes: Scene[];
  /** In file order. */
  frames: PlannedFrame[];
  jpeg: { quality: number; chromaSubsampling: '4:2:0' | '4:4:4' };
  /** Pictures are made smaller by this factor before they are written, as for the web; absent: 1. */
  shrink?: number;
  noiseSeed: number;
  /** Faults put in on purpose; indices are file indices. */
  faults: StackFaults;
  /** False: the check is run without magnification and aperture. */
  opticsKnown: boolean;
}

export interface StackFaults {
  blurred?: number[];
  redundant?: number[];
  /** First frame after the bump. */
  bump?: number;
  /** First frame after a part of the subject moved. */
  moved?: number;
  exposure?: number[];
  /** Shot without a tripod: frames are expected to shift. */
  handheld?: boolean;
  /** The verdicts a careful person would accept, where the truth's figures alone don't say. */
  accept?: string[];
}
