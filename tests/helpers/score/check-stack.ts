import type { Report } from '../../../src/contract/report.js';
import { analyse } from '../../../src/pipeline/analyse.js';
import type { AnalyseRequest } from '../../../src/pipeline/analyse-request.js';
import type { StackTruth } from '../stack/stack-truth.js';
import { inProcessSource } from './in-process-source.js';

/** The engine's report on a rendered stack, told what a photographer would tell it: rig values, or nothing where optics are unknown. */
export async function checkStack(folder: string, truth: StackTruth): Promise<Report> {
  const option = (value: number) => ({ value, source: 'option' as const });
  const rig: AnalyseRequest['rig'] = truth.magnification === undefined ? {} : {
    magnification: option(truth.magnification), fNumber: option(truth.fNumber!), pupilRatio: option(truth.pupilRatio!), pixelPitchUm: option(truth.pixelPitchUm),
  };
  return analyse(await inProcessSource(folder), { rig, overlap: 0.3, outputWidthPx: null });
}
