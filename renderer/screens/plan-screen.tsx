import { useState } from 'react';
import { UserError } from '../../src/contract/errors.js';
import type { Plan, PlanRequest } from '../../src/contract/plan.js';
import type { RigField } from '../../src/contract/host.js';
import { makePlan } from '../../src/optics/make-plan.js';
import { percent, um } from '../format/numbers.js';
import { useStore, useWindowState } from '../state/window-context.js';

const FIELDS: { field: RigField; name: string; unit: string }[] = [
  { field: 'magnification', name: 'Magnification', unit: '×' }, { field: 'fNumber', name: 'Marked aperture', unit: 'f/' }, { field: 'pupilRatio', name: 'Pupil ratio', unit: 'empty: assumed' },
  { field: 'pixelPitchUm', name: 'Pixel pitch', unit: 'µm' }, { field: 'railUnitUm', name: 'Rail unit', unit: 'µm' }, { field: 'workingDistanceMm', name: 'Working distance', unit: 'mm' },
];

/** Before shooting: the step, how many frames, and what other apertures would cost. Worked out here, from the same formulas as the command line. */
export function PlanScreen() {
  const store = useStore();
  const { settings, report } = useWindowState();
  const [depthUm, setDepthUm] = useState(900);
  const value = (field: RigField): number | null => settings.entered[field] ?? settings.rigCard?.values[field] ?? (field === 'pixelPitchUm' ? report?.optics.pixelPitchUm.value ?? null : null);
  const result = planOf({
    magnification: value('magnification') ?? 0, fNumber: value('fNumber') ?? 0, pixelPitchUm: value('pixelPitchUm') ?? 0, pupilRatio: value('pupilRatio'), wavelengthNm: value('wavelengthNm'),
    depthUm, overlap: settings.overlap, frameWidthPx: null, outputWidthPx: null, railUnitUm: value('railUnitUm'), workingDistanceMm: value('workingDistanceMm'),
  });
  return (
    <main className="page plan">
      <h1>{'plan' in result ? `${result.plan.frames} frames, ${um(result.plan.stepUm)} apart.` : 'Before shooting'}</h1>
      <div className="plan-columns">
        <form aria-label="What to shoot with" onSubmit={(event) => event.preventDefault()}>
          <label className="line"><span>Depth to cover <small>µm</small></span><input type="number" min={1} value={depthUm} onChange={(event) => setDepthUm(Number(event.target.value))} /><em /></label>
          {FIELDS.map(({ field, name, unit }) => <label className="line" key={field}><span>{name} <small>{unit}</small></span><input type="number" min={0} step="any" value={value(field) ?? ''} onChange={(event) => store.enter(field, Number(event.target.value) > 0 ? Number(event.target.value) : null)} /><em /></label>)}
          <label className="line"><span>Overlap <small>%</small></span><input type="number" min={0} max={90} step={5} value={Math.round(settings.overlap * 100)} onChange={(event) => store.changeSettings({ overlap: Math.min(0.9, Math.max(0, Number(event.target.value) / 100)) })} /><em /></label>
        </form>
        {'problem' in result ? <p role="alert">{result.problem}</p> : <PlanResult plan={result.plan} chosen={value('fNumber')} />}
      </div>
    </main>
  );
}

function planOf(request: PlanRequest): { plan: Plan } | { problem: string } {
  if (!request.magnification || !request.fNumber || !request.pixelPitchUm) return { problem: 'Enter magnification, marked aperture and pixel pitch.' };
  try {
    return { plan: makePlan(request) };
  } catch (error) {
    return { problem: error instanceof UserError ? error.line : 'These values don’t make a plan.' };
  }
}

function PlanResult({ plan, chosen }: { plan: Plan; chosen: number | null }) {
  return (
    <section aria-label="Plan">
      <p>Depth of field {um(plan.dofUm)}, travel {um(plan.travelUm)}{plan.wholeUnits ? `; ${plan.wholeUnits.units} rail units a step make ${um(plan.wholeUnits.stepUm)}, ${plan.wholeUnits.frames} frames, ${percent(plan.wholeUnits.overlap)} overlap` : ''}{plan.clearanceMm !== null ? `; ${plan.clearanceMm.toFixed(1)} mm stay free before the lens` : ''}.</p>
      <table>
        <caption>What other apertures would cost. “Resolved” is the finest detail on the subject.</caption>
        <thead><tr><th scope="col">Marked</th><th scope="col">Effective</th><th scope="col">DOF</th><th scope="col">Step</th><th scope="col">Frames</th><th scope="col">Airy, px</th><th scope="col">Resolved</th><th scope="col">Limited by</th></tr></thead>
        <tbody>{plan.apertures.map((a) => (
          <tr key={a.fNumber} className={a.fNumber === chosen ? 'picked' : ''}><th scope="row">f/{a.fNumber}{a.fNumber === chosen ? ' ◂' : ''}</th><td>f/{a.effectiveFNumber.toFixed(1)}</td><td>{um(a.dofUm)}</td><td>{um(a.stepUm)}</td><td>{a.frames}</td><td>{a.airyDiameterPx.toFixed(1)}</td><td>{um(a.resolvedUm)}</td><td>{a.limitedBy}</td></tr>
        ))}</tbody>
      </table>
      {plan.pupilRatioRange && <p>The pupil ratio was assumed. {plan.pupilRatioRange.map((c) => `At ${c.pupilRatio}: depth of field ${um(c.dofUm)}, ${c.frames} frames`).join('. ')}.</p>}
      <div className="caution" role="note">{plan.cautions.map((text) => <p key={text}>{text}</p>)}</div>
    </section>
  );
}
