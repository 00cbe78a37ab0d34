import type { Report } from '../contract/report.js';
import type { AnalyseRequest } from './analyse-request.js';
import type { FrameSource } from './frame-source.js';
import { makeReport } from './make-report.js';
import { solveStack } from './solve-stack.js';

/**
 * The whole job: frames in, verdict out.
 * @throws UserError where the folder holds no frame that can be used; CancelledError when the request's signal fires
 */
export async function analyse(source: FrameSource, request: AnalyseRequest): Promise<Report> {
  return makeReport(await solveStack(source, request), request);
}
