import { scaleLinear } from 'd3-scale';
import { useMemo, useState, type KeyboardEvent } from 'react';
import type { Report } from '../../src/contract/report.js';
import { isCovered, type Mended } from '../../src/optics/mended-by-top-up.js';
import { ladderLayout, type BandBox } from '../charts/ladder-layout.js';
import { depth, plain } from '../format/numbers.js';
import { shortLabel } from '../format/short-label.js';
import { useElementSize } from '../parts/use-element-size.js';
import { frameCounts } from '../state/report-reading.js';
import { useStore, useWindowState } from '../state/window-context.js';
import type { Mark } from '../state/window-state.js';

const AXIS_PX = 46, LANE_PX = 52, GAP_PX = 3, LABEL_FROM_PX = 13;

/** The depth axis to scale, the camera below. One rung a frame, as thick as the depth of field. Longer than most: one drawing and its keys. */
export function Ladder({ report, labels, mended = [], nextDof = null, harmless = null }: { report: Report; labels: readonly string[]; mended?: readonly Mended[]; /** Where the next frame would lie, were its step as long as usual. */ nextDof?: number | null; /** While shooting: the steps known to be harmless gaps; whether surface lies in the others is known later, and they count until then. null: each is judged by its soft area. */ harmless?: ReadonlySet<number> | null }) {
  const store = useStore();
  const { mark } = useWindowState();
  const [measure, size] = useElementSize();
  const [axis, laneWidth, labelFrom] = [AXIS_PX, LANE_PX, LABEL_FROM_PX].map((px) => px * size.scale);
  const layout = useMemo(() => ladderLayout(report, harmless), [report, harmless]);
  const [shown, setShown] = useState<[number, number] | null>(null);
  const dofUm = report.optics.dofUm.value;
  const later = useMemo(() => new Set(mended.flatMap(({ added }) => added)), [mended]);
  const whole: [number, number] = nextDof === null ? layout.extent : [Math.min(layout.extent[0], nextDof - 1), Math.max(layout.extent[1], nextDof + 1)];
  const extent = shown ?? whole;
  const y = scaleLinear().domain(extent).range([size.height - 12, 12]);
  const inUm = scaleLinear().domain(extent.map((d) => d * (dofUm ?? 1))).range(y.range());
  const pxPerDof = Math.abs(y(1) - y(0));
  const surfaceLeft = axis + 2 * laneWidth + 10;
  const most = Math.max(1e-9, ...layout.surface.map((bar) => bar.share));
  /** Beside the rungs there is room for "0.3 µm empty"; over them it would hide their names. */
  const besideRungs = (textPx: number): boolean => size.width - 8 - textPx * size.scale > surfaceLeft, emptyFits = besideRungs(75);
  const surfaceWidth = Math.max(10, size.width - surfaceLeft - 4);

  const items: { mark: Mark; at: number; name: string }[] = useMemo(() => [
    ...layout.rungs.map((rung) => ({ mark: { kind: 'frame', frame: rung.frame } as Mark, at: rung.centreDof, name: `Frame ${labels[rung.frame]}, ${depth(rung.centreDof, dofUm)}${later.has(rung.frame) ? ', shot later' : ''}${report.stack.frames[rung.frame].flags.length ? `, ${report.stack.frames[rung.frame].flags.join(', ')}` : ''}` })),
    ...layout.bands.map((band) => ({ mark: { kind: 'step', step: band.step } as Mark, at: (band.fromDof + band.toDof) / 2, name: band.harmful ? `Missing band, ${bandText(band, dofUm)}` : `No surface there, ${bandText(band, dofUm)}` })),
  ].sort((a, b) => a.at - b.at), [layout, labels, dofUm, report, later]);
  const places = useMemo(() => new Map(items.map((item, i) => [keyOf(item.mark), i])), [items]);
  const placeOf = (of: Mark): number => places.get(keyOf(of)) ?? -1;
  const current = mark === null ? -1 : placeOf(mark);
  const optionId = (index: number): string => `ladder-item-${index}`;

  const zoom = (factor: number, centre?: number): void => {
    const middle = centre ?? (current >= 0 ? items[current].at : (extent[0] + extent[1]) / 2);
    const most = whole[1] - whole[0], length = Math.min(most, Math.max(3, (extent[1] - extent[0]) / factor));
    if (length >= most) { setShown(null); return; }
    const low = Math.min(Math.max(whole[0], middle - (length * (middle - extent[0])) / (extent[1] - extent[0])), whole[1] - length);
    setShown([low, low + length]);
  };
  const go = (index: number): void => {
    const item = items[Math.min(items.length - 1, Math.max(0, index))];
    if (!item) return;
    store.mark(item.mark);
    if (shown && (item.at < shown[0] || item.at > shown[1])) { const half = (shown[1] - shown[0]) / 2; setShown([item.at - half, item.at + half]); }
  };
  const keys = (event: KeyboardEvent): void => {
    const moves: Record<string, () => void> = {
      ArrowUp: () => go(current + 1), ArrowDown: () => go(current < 0 ? 0 : current - 1), Home: () => go(0), End: () => go(items.length - 1),
      PageUp: () => go(current + 10), PageDown: () => go(current - 10), '+': () => zoom(1.5), '=': () => zoom(1.5), '-': () => zoom(1 / 1.5), '0': () => setShown(null),
    };
    const move = moves[event.key];
    if (!move || event.ctrlKey || event.metaKey) return;
    event.preventDefault();
    move();
  };
  const picked = (item: Mark): boolean => mark !== null && keyOf(mark) === keyOf(item);
  const lane = (which: 0 | 1): number => axis + which * (laneWidth + GAP_PX);
  /** Zoomed in, some of five hundred rungs are in sight, and only these are drawn; what is picked stays, wherever the wheel has gone. */
  const inSight = (from: number, to: number, item?: Mark): boolean => (to > extent[0] - 1 && from < extent[1] + 1) || (item !== undefined && picked(item));
  const option = (item: Mark): { id: string; role: 'option'; 'aria-selected': boolean; 'aria-label': string | undefined; 'aria-posinset': number; 'aria-setsize': number } => {
    const place = placeOf(item);
    return { id: optionId(place), role: 'option', 'aria-selected': picked(item), 'aria-label': items[place]?.name, 'aria-posinset': place + 1, 'aria-setsize': items.length };
  };

  return (
    <section className="ladder" aria-label="Ladder">
      <h2>Ladder</h2>
      <div className="chart" ref={measure} tabIndex={0} role="listbox" aria-label="Frames and missing bands, nearest to the camera first" aria-activedescendant={current >= 0 ? optionId(current) : undefined} onKeyDown={keys}
        onWheel={(event) => { const box = event.currentTarget.getBoundingClientRect(); zoom(Math.exp(-event.deltaY * 0.0015), y.invert(event.clientY - box.top)); }}>
        <svg width={size.width} height={size.height} role="presentation">
          <defs>
            <pattern id="missing" width="7" height="7" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><rect width="7" height="7" className="hatch-ground" /><rect width="2" height="7" className="hatch-line" /><rect width="7" height="1" className="hatch-line" /></pattern>
            <clipPath id="ladder-clip"><rect x="0" y="0" width={size.width} height={size.height} /></clipPath>
          </defs>
          <g aria-hidden="true">{inUm.ticks(Math.max(3, Math.floor(size.height / 60))).map((tick) => (
            <g key={tick} transform={`translate(0 ${inUm(tick)})`}><line className="grid" x1={axis - 6} x2={size.width} /><text className="tick" x={axis - 10} dy="0.35em" textAnchor="end">{plain(tick, inUm.domain()[1] - inUm.domain()[0] < 8 ? 1 : 0)}</text></g>
          ))}</g>
          <g aria-hidden="true">{layout.surface.filter((bar) => inSight(bar.fromDof, bar.toDof)).map((bar) => <rect key={bar.fromDof} className="surface" x={surfaceLeft} y={y(bar.toDof)} width={(surfaceWidth * bar.share) / most} height={Math.max(0.5, y(bar.fromDof) - y(bar.toDof) - 0.5)} />)}</g>
          {layout.rungs.map((rung) => {
            const item: Mark = { kind: 'frame', frame: rung.frame };
            if (!inSight(rung.centreDof, rung.centreDof, item)) return null;
            const height = Math.max(1.5, pxPerDof - 1), centre = y(rung.centreDof), counts = frameCounts(report, rung.frame);
            return (
              <g key={rung.frame} {...option(item)} className={`rung${picked(item) ? ' picked' : ''}${counts ? '' : ' lost'}${later.has(rung.frame) ? ' later' : ''}`} onClick={() => store.mark(item)}>
                <rect x={lane(rung.lane)} y={centre - height / 2} width={laneWidth} height={height} rx={Math.min(3, height / 4)} />
                {rung.sigmaDof > 0 && height > 5 && (rung.sigmaApart || picked(item)) && <line className="sigma" x1={lane(rung.lane) + laneWidth - 4} x2={lane(rung.lane) + laneWidth - 4} y1={y(rung.centreDof - 2 * rung.sigmaDof)} y2={y(rung.centreDof + 2 * rung.sigmaDof)} />}
                {height >= labelFrom && <text x={lane(rung.lane) + laneWidth / 2 - (counts ? 0 : 4)} y={centre} dy="0.35em" textAnchor="middle">{shortLabel(labels[rung.frame], counts ? 7 : 5)}{counts ? '' : ' ✕'}</text>}
              </g>
            );
          })}
          {mended.map((entry) => {
            // Beyond an end there is no frame on the other side.
            const at = [entry.after ?? entry.added[0], entry.before ?? entry.added[entry.added.length - 1]].map((frame) => report.stack.frames[frame].positionDof ?? 0).sort((a, b) => a - b);
            const covered = isCovered(entry), top = y(at[1] - 0.5), bottom = y(at[0] + 0.5);
            return (
              <g key={entry.added[0]} aria-hidden="true" className={`mended-band${covered ? '' : ' not-yet'}`}>
                <path d={`M${surfaceLeft - 3} ${top}h5v${Math.max(0, bottom - top)}h-5`} />
                {covered && besideRungs(62) && <text x={size.width - 8} y={top - 5} textAnchor="end">✓ covered</text>}
              </g>
            );
          })}
          {nextDof !== null && <g aria-hidden="true" className="next"><line x1={axis} x2={size.width} y1={y(nextDof)} y2={y(nextDof)} /><text x={size.width - 8} y={y(nextDof) - 6} textAnchor="end">next, if even</text></g>}
          {layout.bands.map((band) => {
            const item: Mark = { kind: 'step', step: band.step };
            if (!inSight(band.fromDof, band.toDof, item)) return null;
            const top = y(band.toDof), height = Math.max(3, y(band.fromDof) - top), middle = top + height / 2;
            return (
              <g key={band.step} {...option(item)} className={`band ${band.harmful ? 'harmful' : 'empty'}${picked(item) ? ' picked' : ''}`} onClick={() => store.mark(item)}>
                <rect x={axis - 4} y={top} width={Math.max(0, size.width - axis + 2)} height={height} />
                {(band.harmful || height >= 18 || emptyFits) && <text x={size.width - 8} textAnchor="end" y={height >= 18 ? middle : top - 6} dy={height >= 18 ? '0.35em' : 0}>{bandText(band, dofUm)}</text>}
              </g>
            );
          })}
        </svg>
      </div>
      {layout.rungs.length === 0 && <p className="empty">Positions are known when all frames are read.</p>}
      <p className="foot"><span>{dofUm === null ? 'DOF' : 'µm'} ▾ camera</span><span>surface by depth</span></p>
    </section>
  );
}

const keyOf = (mark: Mark): string => (mark.kind === 'frame' ? `frame ${mark.frame}` : mark.kind === 'step' ? `step ${mark.step}` : `end ${mark.end}`);

const bandText = (band: BandBox, dofUm: number | null): string => `${depth(band.missingDof, dofUm)}${!band.harmful ? ' empty' : band.frames > 0 ? `: add ${band.frames}` : ' in no frame'}`;
