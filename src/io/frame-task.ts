import type { FrameMeasure, MeasurePlan } from '../sharpness/measure-plan.js';

/** What a frame worker is asked. */
export interface FrameTask { file: string; plan: MeasurePlan }
/** What it answers: measures, never pixels. */
export interface FrameResult { measure: FrameMeasure; decodeMs: number; measureMs: number }
