import type { Settings } from '../../contract/host.js';
import type { AnalyseRequest } from '../../pipeline/analyse-request.js';
import { rigOfSettings } from './rig-of-settings.js';

/** What a window set, as the engine takes it; with curves, which windows draw. */
export const requestOfSettings = (settings: Settings): AnalyseRequest =>
  ({ rig: rigOfSettings(settings), overlap: settings.overlap, outputWidthPx: settings.outputWidthPx, withCurves: true });
