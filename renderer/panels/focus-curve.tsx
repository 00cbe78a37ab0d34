import { scaleLinear } from 'd3-scale';
import { line } from 'd3-shape';
import type { Report } from '../../src/contract/report.js';
import { curveOfPlace } from '../charts/curve-of-place.js';
import { depth, percent, plain } from '../format/numbers.js';
import { useElementSize } from '../parts/use-element-size.js';
import { frameCounts } from '../state/report-reading.js';
import { useStore, useWindowState } from '../state/window-context.js';
import { CURVE_MEASURES, type CurveMeasure } from '../state/window-state.js';

const BAR_PX = 8, FOOT_PX = 32, SIDE_PX = 14;
const MEASURE_NAMES: Record<CurveMeasure, string> = { fine: 'Laplacian, fine detail', middle: 'Laplacian, middle', coarse: 'Laplacian, coarse', fft: 'FFT, high frequencies' };

/** Of a long stack, what lies around the surface: a curve among hundreds of frames would be a needle. */
const AROUND_DOF = 9;
function shownDepths(positions: readonly number[], surface: number | null): [number, number] {
  const low = Math.min(0, ...positions) - 0.6, high = Math.max(1, ...positions) + 0.6;
  if (surface === null || high - low <= 2.5 * AROUND_DOF) return [low, high];
  const start = Math.min(Math.max(low, surface - AROUND_DOF), high - 2 * AROUND_DOF);
  return [start, start + 2 * AROUND_DOF];
}

/** Sharpness of one place in every frame, over depth; the fitted curve through it; the rungs below. */
export function FocusCurve({ report, tile }: { report: Report; tile: number | null }) {
  const store = useStore();
  const { curveMeasure } = useWindowState();
  const [measure, size] = useElementSize();
  const foot = FOOT_PX * size.scale, side = SIDE_PX * size.scale;
  const dofUm = report.optics.dofUm.value;
  const place = tile === null ? null : curveOfPlace(report, tile, curveMeasure);
  const surface = place === null ? null : report.tiles.depthDof[place.tile];
  const loss = tile === null ? null : report.tiles.contrastLoss[tile];
  const { frames } = report.stack;
  const positions = frames.map((frame) => frame.positionDof).filter((p): p is number => p !== null);
  const extent = shownDepths(positions, surface);
  const x = scaleLinear().domain(extent).range([side, Math.max(side + 1, size.width - side)]);
  const inUm = scaleLinear().domain(extent.map((d) => d * (dofUm ?? 1))).range(x.range());
  const shows = (dof: number | null): dof is number => dof !== null && dof >= extent[0] && dof <= extent[1];
  const values = place?.amplitude ?? [];
  const y = scaleLinear().domain([0, Math.max(1.1, ...values.map((v) => v ?? 0))]).range([size.height - foot, 10]);
  const fitted = place?.fitted;
  const path = fitted && surface !== null ? line<number>().x((i) => x(surface + fitted.defocusDof[i])).y((i) => y(fitted.amplitude[i]))([...fitted.defocusDof.keys()].filter((i) => surface + fitted.defocusDof[i] >= extent[0] && surface + fitted.defocusDof[i] <= extent[1])) : null;
  const said = positions.length === 0 ? 'drawn when all frames are read.'
    : tile === null ? 'pick a place in the picture.'
      : place === null ? 'too little detail at this place.'
        : curveMeasure === 'fft' ? `The window of the picture nearest to this place${surface === null ? '' : `; its surface lies at ${depth(surface, dofUm)}`}.`
          : surface === null ? 'too little detail at this place.' : `Surface at ${depth(surface, dofUm)}; contrast kept: ${percent(loss === null ? null : 1 - loss)}.`;
  return (
    <section className="focus-curve" aria-label="Focus curve">
      <div className="title">
        <h2>Focus curve <span>{said}</span></h2>
        <label className="measure"><span className="hidden">Measure of sharpness</span><select value={curveMeasure} onChange={(event) => store.set({ curveMeasure: event.target.value as CurveMeasure })}>
          {CURVE_MEASURES.map((name) => <option key={name} value={name}>{MEASURE_NAMES[name]}</option>)}
        </select></label>
      </div>
      <div className="chart" ref={measure}>
        {size.width > 0 && positions.length > 0 && <svg width={size.width} height={size.height} role="img" aria-label={`Sharpness at this place over depth in ${dofUm === null ? 'DOF' : 'µm'}. ${said}`}>
          <g>{frames.map((frame, i) => shows(frame.positionDof) && frameCounts(report, i) && <rect key={i} className={`bar lane-${i % 2}`} x={x(frame.positionDof - 0.5)} width={Math.max(1, x(1) - x(0))} y={size.height - foot + 4} height={BAR_PX} />)}</g>
          {inUm.ticks(Math.max(3, Math.floor(size.width / (90 * size.scale)))).map((tick) => <text key={tick} className="tick" x={inUm(tick)} y={size.height - 5} textAnchor="middle">{plain(tick, inUm.domain()[1] - inUm.domain()[0] < 8 ? 1 : 0)}</text>)}
          {path && <path className="curve" d={path} />}
          {surface !== null && place !== null && <line className="here" x1={x(surface)} x2={x(surface)} y1={8} y2={size.height - foot + 4} />}
          {values.map((value, i) => { const at = frames[i].positionDof; return value !== null && shows(at) && <circle key={i} className="point" cx={x(at)} cy={y(value)} r={values.length > 120 ? 1.6 : 3.2}><title>{`${frames[i].file}: ${percent(value)}`}</title></circle>; })}
        </svg>}
      </div>
    </section>
  );
}
