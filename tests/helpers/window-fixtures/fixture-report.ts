import { REPORT_SCHEMA, type FrameFlag, type Grade, type OpticsReport, type Report, type Step, type TileState, type TopUp } from '../../../src/contract/report.js';
import { seededRandom } from './seeded-random.js';

/** What a made-up stack should look like. Numbers are plausible, not measured: fixtures are for drawing and for the window's own logic. */
export interface FixtureStack {
  frames: number;
  stepDof: number;
  /** Interval index → its length in DOF. */
  longSteps?: Record<number, number>;
  /** Intervals whose depth holds no surface. */
  emptySteps?: number[];
  flags?: Record<number, FrameFlag[]>;
  /** µm per DOF, or null for unknown optics. */
  dofUm: number | null;
  folder?: string;
  fileName?: (index: number) => string;
  rows?: number;
  columns?: number;
  seed?: number;
  undecided?: boolean;
}

const TILE_PX = 16;

/** Depth of the made-up surface in DOF at each tile: a leaning dome with ridges, kept out of the empty intervals. */
function surface(stack: FixtureStack, positions: number[], rows: number, columns: number): Float64Array {
  const random = seededRandom(stack.seed ?? 7);
  const far = positions[positions.length - 1];
  const phases = Array.from({ length: 6 }, () => random() * 6.283);
  const depths = new Float64Array(rows * columns);
  for (let r = 0; r < rows; r++) {
    for (let c = 0; c < columns; c++) {
      const y = r / rows, x = c / columns;
      const dome = (x - 0.5) ** 2 + (y - 0.45) ** 2;
      const ridges = 0.12 * Math.sin(9 * x + 4 * y + phases[0]) + 0.08 * Math.sin(17 * y - 6 * x + phases[1]) + 0.05 * Math.sin(31 * x + phases[2]);
      let depth = far * Math.min(0.985, Math.max(0.015, 0.1 + 1.5 * dome + ridges));
      for (const k of stack.emptySteps ?? []) {
        const middle = (positions[k] + positions[k + 1]) / 2;
        if (depth > positions[k] && depth < positions[k + 1]) depth = depth < middle ? positions[k] - 0.1 : positions[k + 1] + 0.1;
      }
      depths[r * columns + c] = depth;
    }
  }
  return depths;
}

/** A report as the engine would give it, with a focus curve for every fourth tile. */
export function fixtureReport(stack: FixtureStack): Report {
  const { frames: count, dofUm } = stack;
  const random = seededRandom((stack.seed ?? 7) + 1);
  const width = stack.columns ?? 1500, height = stack.rows ?? 1000;
  const rows = Math.ceil(height / TILE_PX), columns = Math.ceil(width / TILE_PX);
  const flags = stack.flags ?? {};
  const positions = [0];
  for (let i = 1; i < count; i++) positions.push(positions[i - 1] + (stack.longSteps?.[i - 1] ?? stack.stepDof * (0.94 + 0.12 * random())));
  const depth = surface(stack, positions, rows, columns);
  const counts = positions.map((_, i) => !flags[i]?.some((f) => f === 'blurred' || f === 'unreadable'));

  const state: TileState[] = [], best: (number | null)[] = [], loss: (number | null)[] = [], depthDof: (number | null)[] = [];
  const soft = new Float64Array(count), there = new Float64Array(count);
  for (let t = 0; t < depth.length; t++) {
    const r = Math.floor(t / columns), c = t % columns;
    if (r < 4 && c > columns - 12) { state.push('no-detail'); best.push(null); loss.push(null); depthDof.push(null); continue; }
    let nearest = -1, distance = Infinity;
    for (let k = 0; k < count; k++) {
      const away = Math.abs(positions[k] - depth[t]);
      if (counts[k] && away < distance) { distance = away; nearest = k; }
    }
    let interval = 0;
    while (interval < count - 2 && positions[interval + 1] < depth[t]) interval++;
    there[interval] += 1 / depth.length;
    if (distance > 0.5) soft[interval] += 1 / depth.length;
    state.push(distance > 0.5 ? 'soft' : 'sharp');
    best.push(nearest);
    loss.push(Math.min(1, 0.8 * distance * distance));
    depthDof.push(depth[t]);
  }

  const steps: Step[] = positions.slice(1).map((to, i) => {
    const stepDof = to - positions[i];
    const grade: Grade = stack.undecided && i % 3 !== 0 ? 'unmeasured' : stepDof > 1 ? 'gap' : stepDof > 0.8 ? 'thin' : 'good';
    const known = grade !== 'unmeasured';
    return {
      from: i, to: i + 1, stepDof: known ? stepDof : null, sigmaDof: known ? 0.012 + 0.01 * random() : null, stepUm: known && dofUm !== null ? stepDof * dofUm : null,
      overlap: known ? 1 - stepDof : null, grade, atLeast: false, softAreaShare: soft[i], surfaceShare: there[i],
    };
  });
  const topUp: TopUp[] = steps.filter((s) => s.grade === 'gap' && s.softAreaShare >= 0.005).map((s) => {
    const frames = Math.ceil((s.stepDof ?? 0) / 0.7) - 1;
    const at = Array.from({ length: frames }, (_, i) => positions[s.from] + ((s.stepDof ?? 0) * (i + 1)) / (frames + 1));
    return { after: s.from, before: s.to, frames, positionsDof: at, positionsUm: dofUm === null ? null : at.map((p) => p * dofUm) };
  });
  const missing = topUp.reduce((sum, entry) => sum + entry.frames, 0);
  const decision = stack.undecided ? 'undecided' : missing === 0 ? 'keep' : missing > count ? 'reshoot' : 'top-up';
  const value = (v: number | null, source: OpticsReport['dofUm']['source']): OpticsReport['dofUm'] => ({ value: v, source: v === null ? 'unknown' : source });
  const known = dofUm !== null;
  const curveTiles = [...state.keys()].filter((t) => state[t] !== 'no-detail' && (t % 4 === 0 || state[t] === 'soft') && t % Math.ceil(depth.length * count / 400_000) === 0);
  const fitted = Array.from({ length: 61 }, (_, i) => (i - 30) / 10);
  const falloff = (d: number): number => Math.exp(-1.1 * d * d) * 0.92 + 0.08 / (1 + d * d);

  return {
    schema: REPORT_SCHEMA, version: '0.1.0',
    stack: {
      folder: stack.folder ?? '/pictures/fluorite', width, height, direction: 'near-first', order: positions.map((_, i) => i),
      frames: positions.map((p, i) => ({
        file: stack.fileName?.(i) ?? `specimen-${String(101 + i).padStart(4, '0')}.jpg`,
        positionDof: p, positionSigmaDof: 0.02 + 0.01 * random(), positionUm: dofUm === null ? null : p * dofUm,
        exposureEv: 0.04 * (random() - 0.5), shiftPx: { row: 0, column: 0 }, contrast: flags[i]?.includes('blurred') ? 0.71 : 1 - 0.02 * random(), flags: flags[i] ?? [],
      })),
    },
    optics: {
      magnification: value(known ? 5 : null, 'rig-card'), fNumber: value(known ? 2.8 : null, 'rig-card'), pupilRatio: value(1, 'default'),
      pixelPitchUm: value(known ? 3.9 : null, 'exif'), wavelengthNm: value(550, 'default'),
      effectiveFNumber: value(known ? 16.8 : null, 'derived'), numericalAperture: value(known ? 0.1488 : null, 'derived'), dofUm: value(dofUm, 'derived'),
    },
    steps,
    ends: [{ side: 'near', open: false, areaShare: 0 }, { side: 'far', open: false, areaShare: 0.004 }],
    findings: Object.entries(flags).flatMap(([i, list]) => list.map((flag) => ({
      kind: flag, severity: flag === 'repeat' ? 'info' as const : 'warn' as const, frames: [Number(i)],
      message: flag === 'blurred' ? 'This frame is blurred: it keeps 71 % of the contrast its neighbours say it should have.' : `This frame is marked: ${flag}.`,
      remedy: flag === 'blurred' ? 'Shoot it again with a longer wait after the rail has moved.' : undefined,
    }))),
    verdict: { decision, reasons: stack.undecided ? ['Too little detail could be measured: 38 tiles, and 60 are needed.', 'Light from the side brings out more of the surface.'] : missing === 0 ? ['Every step overlaps.'] : [`${missing} frames are missing.`] },
    topUp,
    tiles: { rows, columns, tilePx: TILE_PX, depthDof, bestFrame: best, contrastLoss: loss, state },
    rail: { medianStepDof: stack.stepDof, medianStepUm: dofUm === null ? null : stack.stepDof * dofUm, scatter: 0.03 },
    timing: { totalMs: 1840, decodeMs: 1200, frames: count, megapixels: (width * height) / 1e6 },
    curves: {
      tile: curveTiles,
      amplitude: curveTiles.map((t) => positions.map((p) => Math.max(0, falloff(p - depth[t]) + 0.03 * (random() - 0.5)))),
      fitted: { defocusDof: fitted, amplitude: fitted.map(falloff) },
    },
  };
}
