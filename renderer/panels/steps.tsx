import { scaleLinear } from 'd3-scale';
import type { KeyboardEvent } from 'react';
import type { Report } from '../../src/contract/report.js';
import { stepSize } from '../format/verdict-words.js';
import { dof } from '../format/numbers.js';
import { shortLabel } from '../format/short-label.js';
import { useElementSize } from '../parts/use-element-size.js';
import { isHarmless } from '../state/report-reading.js';
import { useStore, useWindowState } from '../state/window-context.js';

const LEFT_PX = 44, FOOT_PX = 20;

/** Every step with two sigma, the step asked for and the limit. Shapes tell grades apart as well as colours. */
export function Steps({ report, labels }: { report: Report; labels: readonly string[] }) {
  const store = useStore();
  const { mark, settings } = useWindowState();
  const [measure, size] = useElementSize();
  const left = LEFT_PX * size.scale, foot = FOOT_PX * size.scale;
  const { steps } = report;
  const x = scaleLinear().domain([-0.5, Math.max(0.5, steps.length - 0.5)]).range([left, Math.max(left + 1, size.width - 12)]);
  const y = scaleLinear().domain([0, Math.max(1.25, ...steps.map((s) => (s.stepDof ?? 0) + 2 * (s.sigmaDof ?? 0)))]).range([size.height - foot, 10]);
  const current = mark?.kind === 'step' ? mark.step : -1;
  const every = Math.ceil(steps.length / Math.max(1, Math.floor(size.width / (62 * size.scale))));
  const keys = (event: KeyboardEvent): void => {
    const by = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
    if (by === undefined || event.altKey) return;
    event.preventDefault();
    store.mark({ kind: 'step', step: Math.min(steps.length - 1, Math.max(0, current + by)) });
  };
  const asked = 1 - settings.overlap;
  return (
    <section className="steps" aria-label="Steps">
      <p className="foot">Steps in depths of field, with two sigma. Thin line: step asked for. Thick line: limit, from which depth is missing.</p>
      <div className="chart" ref={measure} tabIndex={0} role="listbox" aria-orientation="horizontal" aria-label="Steps between frames" aria-activedescendant={current >= 0 ? `step-${current}` : undefined} onKeyDown={keys}>
        {size.width > 0 && <svg width={size.width} height={size.height} role="presentation">
          <g aria-hidden="true">
            <line className="limit" x1={left} x2={size.width} y1={y(1)} y2={y(1)} /><text className="tick" x={left - 8} y={y(1)} dy="0.1em" textAnchor="end">1.0</text>
            <line className="asked" x1={left} x2={size.width} y1={y(asked)} y2={y(asked)} />{y(asked) - y(1) > 5 * size.scale && <text className="tick" x={left - 8} y={y(asked)} dy="0.7em" textAnchor="end">{asked.toFixed(1)}</text>}
            {steps.map((step, i) => i % every === 0 && <text key={i} className="tick" x={x(i)} y={size.height - 4} textAnchor="middle">{shortLabel(labels[step.to], 9)}</text>)}
          </g>
          {steps.map((step, i) => {
            const at = step.stepDof, picked = i === current, harmless = isHarmless(step);
            return (
              <g key={i} id={`step-${i}`} role="option" aria-selected={picked} aria-label={`${labels[step.from]} to ${labels[step.to]}: ${stepSize(step)}, ${harmless ? 'gap without surface' : step.grade}`} className={`step ${harmless ? 'harmless' : step.grade}${picked ? ' picked' : ''}`} onClick={() => store.mark({ kind: 'step', step: i })}>
                <rect className="catch" x={x(i - 0.5)} y={0} width={Math.max(1, x(1) - x(0))} height={Math.max(0, size.height - foot)} />
                {at !== null && step.sigmaDof !== null && <line className="sigma" x1={x(i)} x2={x(i)} y1={y(Math.max(0, at - 2 * step.sigmaDof))} y2={y(at + 2 * step.sigmaDof)} />}
                {at === null ? <text className="unknown" x={x(i)} y={y(0.1)} textAnchor="middle">?</text>
                  : step.grade === 'gap' ? <path d={`M${x(i)} ${y(at) - 7}l7 7l-7 7l-7 -7z`} />
                    : step.grade === 'thin' ? <path d={`M${x(i)} ${y(at) - 5}l5 9h-10z`} /> : <circle cx={x(i)} cy={y(at)} r={steps.length > 150 ? 2 : 4} />}
                {step.grade === 'gap' && at !== null && <text className="value" x={x(i) + 11} y={y(at)} dy="0.35em">{dof(at)}</text>}
              </g>
            );
          })}
        </svg>}
      </div>
    </section>
  );
}
