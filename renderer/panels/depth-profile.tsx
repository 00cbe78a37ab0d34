import { scaleLinear } from 'd3-scale';
import { line } from 'd3-shape';
import type { Report } from '../../src/contract/report.js';
import { depthProfile } from '../../src/optics/depth-profile.js';
import { depth, plain, um } from '../format/numbers.js';
import { useElementSize } from '../parts/use-element-size.js';
import { useStore, useWindowState } from '../state/window-context.js';

const LEFT_PX = 46, FOOT_PX = 20, TOP_PX = 8;

/** Depth of the surface along the line drawn in the picture, from A to B; the camera's side below, as in the ladder. */
export function DepthProfile({ report }: { report: Report }) {
  const store = useStore();
  const { profile } = useWindowState();
  const [measure, size] = useElementSize();
  const left = LEFT_PX * size.scale, foot = FOOT_PX * size.scale;
  const dofUm = report.optics.dofUm.value;
  if (!profile) return null;
  const samples = depthProfile(report, profile.from, profile.to);
  const inUm = samples[0].distanceUm !== null, known = samples.map((s) => s.depthDof).filter((d): d is number => d !== null);
  const along = (s: (typeof samples)[0]): number => s.distanceUm ?? s.distancePx;
  const up = (dof: number): number => dof * (dofUm ?? 1);
  const x = scaleLinear().domain([0, Math.max(1, along(samples[samples.length - 1]))]).range([left, Math.max(left + 1, size.width - 14)]);
  const low = Math.min(...known, Infinity), high = Math.max(...known, -Infinity);
  const y = scaleLinear().domain(known.length === 0 ? [0, 1] : [up(low) - up(0.3), up(high) + up(0.3)]).range([size.height - foot, TOP_PX]);
  const path = line<(typeof samples)[0]>().defined((s) => s.depthDof !== null).x((s) => x(along(s))).y((s) => y(up(s.depthDof ?? 0)))(samples);
  const said = known.length === 0 ? 'No depth was measured along this line.'
    : `A to B: ${inUm ? um(along(samples[samples.length - 1])) : `${plain(along(samples[samples.length - 1]), 0)} px`}; depths span ${depth(high - low, dofUm)}.`;
  return (
    <section className="focus-curve profile" aria-label="Depth profile">
      <div className="title"><h2>Depth profile <span>{said}</span></h2><button type="button" onClick={() => store.setProfile(null)}>Focus curve</button></div>
      <div className="chart" ref={measure}>
        {size.width > 0 && <svg width={size.width} height={size.height} role="img" aria-label={`Depth in ${dofUm === null ? 'DOF' : 'µm'} over the way in ${inUm ? 'µm' : 'pixels'}. ${said}`}>
          {y.ticks(Math.max(2, Math.floor(size.height / 40))).map((tick) => <g key={tick}><line className="grid" x1={left} x2={size.width - 14} y1={y(tick)} y2={y(tick)} /><text className="tick" x={left - 8} y={y(tick)} dy="0.35em" textAnchor="end">{plain(tick, dofUm === null ? 1 : 0)}</text></g>)}
          {x.ticks(Math.max(2, Math.floor(size.width / (110 * size.scale)))).map((tick) => <text key={tick} className="tick" x={x(tick)} y={size.height - 5} textAnchor="middle">{plain(tick, 0)}</text>)}
          {path && <path className="curve" d={path} />}
          <text className="end-name" x={left - 8} y={size.height - 5} textAnchor="end">A</text><text className="end-name" x={size.width - 3} y={size.height - 5} textAnchor="end">B</text>
        </svg>}
      </div>
    </section>
  );
}
