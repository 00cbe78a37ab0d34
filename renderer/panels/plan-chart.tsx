import { scaleLog } from 'd3-scale';
import { area, line } from 'd3-shape';
import type { Plan, PlanRequest } from '../../src/contract/plan.js';
import { planCurves, type PlanPoint } from '../charts/plan-curves.js';
import { um } from '../format/numbers.js';
import { useElementSize } from '../parts/use-element-size.js';

const LEFT_PX = 58, RIGHT_PX = 16, FOOT_PX = 40, TOP_PX = 26;

/** Depth gained against detail lost, over the marked aperture: both in µm on the subject, on one scale. */
export function PlanChart({ plan, request }: { plan: Plan; request: PlanRequest }) {
  const [measure, size] = useElementSize();
  const [left, right, foot, top] = [LEFT_PX, RIGHT_PX, FOOT_PX, TOP_PX].map((px) => px * size.scale);
  const stops = plan.apertures.map((a) => a.fNumber), first = stops[0], last = stops[stops.length - 1];
  const points = planCurves(request, first, last);
  const values = points.flatMap((p) => [p.resolvedUm, p.dofUm, ...(p.dofRangeUm ?? [])]);
  const x = scaleLog().domain([first, last]).range([left, Math.max(left + 1, size.width - right)]);
  const y = scaleLog().domain([Math.min(...values) / 1.3, Math.max(...values) * 1.3]).range([size.height - foot, top]);
  const drawn = (of: (p: PlanPoint) => number): string => line<PlanPoint>().x((p) => x(p.fNumber)).y((p) => y(of(p)))(points) ?? '';
  const chosen = plan.apertures.find((a) => a.fNumber === request.fNumber);
  const free = plan.freeToFNumber, band = points[0].dofRangeUm ? area<PlanPoint>().x((p) => x(p.fNumber)).y0((p) => y(p.dofRangeUm![0])).y1((p) => y(p.dofRangeUm![1]))(points) : null;
  const end = points[Math.round(points.length * 0.8)];
  const said = chosen ? `At f/${chosen.fNumber} the depth of field is ${um(chosen.dofUm)} and detail down to ${um(chosen.resolvedUm)} is resolved. Up to f/${free.toFixed(1)} closing costs no detail.` : '';
  return (
    <figure className="plan-chart">
      <figcaption>Depth gained, detail lost: both on the subject, over the marked aperture</figcaption>
      <div className="chart" ref={measure}>
        {size.width > 0 && <svg width={size.width} height={size.height} role="img" aria-label={said}>
          {free > first && <g className="free"><rect x={left} y={top} width={Math.max(0, x(Math.min(free, last)) - left)} height={Math.max(0, size.height - foot - top)} /><text x={left + 6} y={top - 8}>closing costs no detail{free < last ? ` up to f/${free.toFixed(1)}` : ''}</text></g>}
          {free < last && <text className="tick" x={size.width - right} y={top - 8} textAnchor="end">{free > first ? 'here every stop costs detail' : 'every stop costs detail'}</text>}
          {y.ticks(5).filter((t) => /^[125]/.test(t.toExponential())).map((tick) => <g key={tick}><line className="grid" x1={left} x2={size.width - right} y1={y(tick)} y2={y(tick)} /><text className="tick" x={left - 8} y={y(tick)} dy="0.35em" textAnchor="end">{tick}{'\u202f'}µm</text></g>)}
          {stops.map((stop) => <g key={stop}><line className="grid" x1={x(stop)} x2={x(stop)} y1={size.height - foot} y2={size.height - foot + 5} /><text className={stop === request.fNumber ? 'chosen-stop' : 'tick'} x={x(stop)} y={size.height - foot / 2} textAnchor="middle">f/{stop}</text></g>)}
          {band && <path className="pupil-range" d={band} />}
          <path className="curve depth" d={drawn((p) => p.dofUm)} />
          <path className="curve detail" d={drawn((p) => p.resolvedUm)} />
          <text className="on-curve" x={x(end.fNumber)} y={y(end.dofUm) - 10} textAnchor="end">depth of field</text>
          <text className="on-curve detail" x={x(end.fNumber)} y={y(end.resolvedUm) - 10} textAnchor="end">finest detail</text>
          {chosen && <g className="chosen">
            <line x1={x(chosen.fNumber)} x2={x(chosen.fNumber)} y1={top} y2={size.height - foot} />
            <circle cx={x(chosen.fNumber)} cy={y(chosen.dofUm)} r="5" /><path d={`M${x(chosen.fNumber) - 5} ${y(chosen.resolvedUm) - 5}h10v10h-10z`} />
          </g>}
        </svg>}
      </div>
      <p className="foot"><span>{said}{band ? ' The broad band is what an unknown pupil ratio between 0.5 and 2 leaves open.' : ''}</span></p>
    </figure>
  );
}
