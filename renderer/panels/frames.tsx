import { useVirtualizer } from '@tanstack/react-virtual';
import { useEffect, useRef } from 'react';
import type { Report } from '../../src/contract/report.js';
import { FLAG_WORDS } from '../format/flag-words.js';
import { depth, percent, signed } from '../format/numbers.js';
import { useStore, useWindowState } from '../state/window-context.js';

const ROW_PX = 30;

/** All frames in depth order, only those in sight drawn. Each flag with its reason and remedy: on one line, and whole in the row that is picked. */
export function Frames({ report }: { report: Report }) {
  const store = useStore();
  const { mark } = useWindowState();
  const scroller = useRef<HTMLDivElement>(null);
  const { frames, order } = report.stack;
  const rows = [...order, ...[...frames.keys()].filter((i) => !order.includes(i))];
  // The library's own functions can't be memoised by a compiler; none is used here.
  // eslint-disable-next-line react-hooks/incompatible-library
  const virtual = useVirtualizer({ count: rows.length, getScrollElement: () => scroller.current, estimateSize: () => ROW_PX, overscan: 8, scrollPaddingEnd: ROW_PX });
  const at = mark?.kind === 'frame' ? rows.indexOf(mark.frame) : -1;
  // Picked in the ladder, in the picture or by a finding: the row comes into sight.
  useEffect(() => { if (at >= 0) virtual.scrollToIndex(at); }, [at, virtual]);
  const reason = (frame: number): string => frames[frame].flags.map((flag) => {
    const finding = report.findings.find((f) => f.kind === flag && f.frames.includes(frame));
    return `${FLAG_WORDS[flag].name}: ${finding?.message ?? FLAG_WORDS[flag].reason} ${finding?.remedy ?? FLAG_WORDS[flag].remedy}`;
  }).join(' ');
  return (
    <section className="frames" aria-label="Frames">
      <div className="scroller" ref={scroller} tabIndex={0} role="table" aria-label="Frames in depth order" aria-rowcount={rows.length + 1}>
        <div role="row" className="frame-row head" aria-rowindex={1}>{['Frame', 'Position', 'Contrast', 'Exposure', 'What to know'].map((name) => <span role="columnheader" key={name}>{name}</span>)}</div>
        <div role="rowgroup" className="body" style={{ height: virtual.getTotalSize() }}>
          {virtual.getVirtualItems().map((item) => {
            const index = rows[item.index], frame = frames[index], picked = mark?.kind === 'frame' && mark.frame === index;
            return (
              <div key={index} role="row" ref={virtual.measureElement} data-index={item.index} aria-rowindex={item.index + 2} className={`frame-row${picked ? ' picked' : ''}`} style={{ transform: `translateY(${item.start}px)`, minHeight: ROW_PX }}>
                <span role="cell"><button type="button" aria-pressed={picked} onClick={() => store.mark({ kind: 'frame', frame: index })}>{frame.file}</button></span>
                <span role="cell">{depth(frame.positionDof, report.optics.dofUm.value)}</span>
                <span role="cell">{percent(frame.contrast)}</span>
                <span role="cell">{signed(frame.exposureEv)} EV</span>
                <span role="cell" title={reason(index)}>{reason(index)}</span>
              </div>
            );
          })}
        </div>
      </div>
    </section>
  );
}
