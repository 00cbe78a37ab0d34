import { scaleLinear } from 'd3-scale';
import type { RailReport } from '../../src/contract/rail.js';
import { plain, um } from '../format/numbers.js';
import { shortLabel } from '../format/short-label.js';
import { useElementSize } from '../parts/use-element-size.js';

const LEFT_PX = 62, RIGHT_PX = 14, FOOT_PX = 22, TOP_PX = 20, BETWEEN_PX = 34;

/** Each move of the rail against the one commanded, and below it how far each frame stands from where even moves would have put it. */
export function RailChart({ rail, labels }: { rail: RailReport; labels: readonly string[] }) {
  const [measure, size] = useElementSize();
  const [left, margin, foot, top, between] = [LEFT_PX, RIGHT_PX, FOOT_PX, TOP_PX, BETWEEN_PX].map((px) => px * size.scale);
  const { chart, measuredUm, commandedUm } = rail;
  const moves = chart.slice(1).map((point, i) => Math.abs(point.measuredUm - chart[i].measuredUm));
  const away = chart.map((point) => point.measuredUm - point.expectedUm);
  const half = (size.height - top - foot - between) / 2;
  const x = scaleLinear().domain([-0.5, Math.max(0.5, chart.length - 0.5)]).range([left, Math.max(left + 1, size.width - margin)]);
  const up = scaleLinear().domain([0, Math.max(1e-6, 1.15 * Math.max(...moves, commandedUm ?? 0, measuredUm ?? 0))]).range([top + half, top]);
  const most = Math.max(1e-6, ...away.map((v, i) => Math.abs(v) + 2 * (chart[i].sigmaUm ?? 0)));
  const off = scaleLinear().domain([-most, most]).range([size.height - foot, size.height - foot - half]);
  const every = Math.ceil(chart.length / Math.max(1, Math.floor(size.width / (70 * size.scale))));
  const right = size.width - margin;
  return (
    <div className="chart rail-chart" ref={measure}>
      {size.width > 0 && chart.length > 1 && <svg width={size.width} height={size.height} role="img" aria-label={`${moves.length} moves, from ${um(Math.min(...moves))} to ${um(Math.max(...moves))}; frames stand up to ${um(Math.max(...away.map(Math.abs)))} from even moves.`}>
        <text className="chart-name" x={left} y={12 * size.scale}>Each move, µm</text>
        <line className="grid" x1={left} x2={right} y1={up(0)} y2={up(0)} /><text className="tick" x={left - 8} y={up(0)} dy="0.35em" textAnchor="end">0</text>
        {measuredUm !== null && <><line className="limit" x1={left} x2={right} y1={up(measuredUm)} y2={up(measuredUm)} /><text className="tick" x={left - 8} y={up(measuredUm)} dy={commandedUm !== null && commandedUm > measuredUm ? '0.9em' : '0.1em'} textAnchor="end">{plain(measuredUm, 1)}</text></>}
        {commandedUm !== null && <><line className="asked dashed" x1={left} x2={right} y1={up(commandedUm)} y2={up(commandedUm)} /><text className="tick" x={right} y={12 * size.scale} textAnchor="end">dashed: {um(commandedUm)} commanded</text></>}
        {moves.map((move, i) => <circle key={i} className="point" cx={x(i + 0.5)} cy={up(move)} r={moves.length > 120 ? 2 : 4}><title>{`${labels[chart[i].frame]} to ${labels[chart[i + 1].frame]}: ${um(move)}`}</title></circle>)}
        <text className="chart-name" x={left} y={size.height - foot - half - 12}>Away from even moves, µm, with two sigma</text>
        {off.ticks(3).map((tick) => <g key={tick}><line className={tick === 0 ? 'asked' : 'grid'} x1={left} x2={right} y1={off(tick)} y2={off(tick)} /><text className="tick" x={left - 8} y={off(tick)} dy="0.35em" textAnchor="end">{plain(tick, most < 2 ? 1 : 0)}</text></g>)}
        {away.map((value, i) => <g key={i}>
          {chart[i].sigmaUm !== null && <line className="sigma" x1={x(i)} x2={x(i)} y1={off(Math.max(-most, value - 2 * chart[i].sigmaUm!))} y2={off(Math.min(most, value + 2 * chart[i].sigmaUm!))} />}
          <path className="away" d={`M${x(i)} ${off(value) - 5}l5 5l-5 5l-5 -5z`} />
          {i % every === 0 && <text className="tick" x={x(i)} y={size.height - 4} textAnchor="middle">{shortLabel(labels[chart[i].frame], 9)}</text>}
        </g>)}
      </svg>}
    </div>
  );
}
