import type { End, Frame, FrameFlag, Report, TileMap } from '../contract/report.js';

/** The parts of a report in which nothing is placed yet, or nothing could be: no step, no end, no move, no rail. */
export function nothingPlaced(): Pick<Report, 'steps' | 'ends' | 'topUp' | 'rail'> {
  return { steps: [], ends: [blankEnd('first'), blankEnd('last')], topUp: [], rail: { medianStepDof: null, medianStepUm: null, scatter: null } };
}

function blankEnd(side: End['side']): End { return { side, open: null, areaShare: 0 }; }

/** Frames of which only the files are known, those left out with their flag. */
export function unplacedFrames(files: readonly string[], leftOut: readonly { index: number; flag: FrameFlag }[]): Frame[] {
  const flags = new Map(leftOut.map(({ index, flag }) => [index, flag]));
  return files.map((file, index) => {
    const flag = flags.get(index);
    return { file, positionDof: null, positionSigmaDof: null, positionUm: null, exposureEv: 0, shiftPx: { row: 0, column: 0 }, contrast: 1, flags: flag ? [flag] : [] };
  });
}

/** A map in which no tile is known. */
export function blankTiles(rows: number, columns: number, tilePx: number): TileMap {
  const none = new Array<null>(rows * columns).fill(null);
  return { rows, columns, tilePx, depthDof: none, bestFrame: none, contrastLoss: none, state: new Array(rows * columns).fill('no-detail') };
}
