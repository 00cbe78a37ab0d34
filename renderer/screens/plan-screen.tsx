import { useState } from 'react';
import { UserError } from '../../src/contract/errors.js';
import type { Plan, PlanRequest } from '../../src/contract/plan.js';
import type { RigField } from '../../src/contract/host.js';
import { makePlan } from '../../src/optics/make-plan.js';
import { capital } from '../format/capital.js';
import { countOf, percent, um } from '../format/numbers.js';
import { keptTogether } from '../format/kept-together.js';
import { inWindowWords } from '../format/window-words.js';
import { CardChoice } from '../panels/card-choice.js';
import { JudgingLines } from '../panels/judging-lines.js';
import { PlanChart } from '../panels/plan-chart.js';
import { PupilRatioHelp } from '../panels/pupil-ratio-help.js';
import { NumberLine } from '../parts/number-line.js';
import { RIG_FIELD_WORDS, rigValue } from '../state/rig-fields.js';
import { useStore, useWindowState } from '../state/window-context.js';

/** Before shooting: the step, how many frames, and what other apertures would cost. Worked out here, from the same formulas as the command line. */
export function PlanScreen() {
  const store = useStore();
  const { settings, report, stack } = useWindowState();
  const [depthUm, setDepthUm] = useState(900), [frameWidthPx, setFrameWidthPx] = useState<number | null>(stack?.width || null);
  const fromFile = (field: RigField): number | null => (field === 'pixelPitchUm' && report?.optics.pixelPitchUm.source === 'exif' ? report.optics.pixelPitchUm.value : null);
  const value = (field: RigField): number | null => rigValue(field, settings) ?? fromFile(field);
  const outputWidthPx = frameWidthPx === null ? null : settings.outputWidthPx;
  const request: PlanRequest = {
    magnification: value('magnification') ?? 0, fNumber: value('fNumber') ?? 0, pixelPitchUm: value('pixelPitchUm') ?? 0, pupilRatio: value('pupilRatio'), wavelengthNm: value('wavelengthNm'),
    depthUm, overlap: settings.overlap, frameWidthPx, outputWidthPx, railUnitUm: value('railUnitUm'), workingDistanceMm: value('workingDistanceMm'),
  };
  const result = planOf(request);
  return (
    <main className="page plan">
      <h1>{'plan' in result ? `${capital(countOf(result.plan.frames, 'frame'))}, ${um(result.plan.stepUm)} apart.` : 'Before shooting'}</h1>
      <div className="plan-columns">
        <form aria-label="What to shoot with" onSubmit={(event) => event.preventDefault()}>
          <CardChoice />
          <NumberLine name="Depth to cover" unit="µm" step={10} max={1e6} value={depthUm} onChange={(next) => { if (next !== null) setDepthUm(next); }} />
          {RIG_FIELD_WORDS.map(({ field, ...words }) => <NumberLine key={field} {...words} value={value(field)} onChange={(next) => store.enter(field, next)}
            note={field === 'pupilRatio' && value(field) === null ? 'assumed 1' : fromFile(field) !== null && rigValue(field, settings) === null ? 'from file' : ''} noteKind={field === 'pupilRatio' && value(field) === null ? 'default' : ''} />)}
          <NumberLine name="Frame width" unit="px" step={100} max={100_000} value={frameWidthPx} onChange={(next) => setFrameWidthPx(next === null || next < 16 ? null : Math.round(next))} />
          <JudgingLines widthDoubt={frameWidthPx === null ? 'frame width?' : null} />
          <p className="foot"><span>Picture width is that of the finished picture: for a screen 2000 pixels wide a smaller aperture will do than for a large print.</span></p>
        </form>
        {'empty' in result ? <p>{result.empty}</p> : 'problem' in result ? <div role="alert" className="caution"><p>{result.problem}</p></div> : <PlanResult plan={result.plan} request={request} />}
      </div>
    </main>
  );
}

function planOf(request: PlanRequest): { plan: Plan } | { problem: string } | { empty: string } {
  if (!request.magnification || !request.fNumber || !request.pixelPitchUm) return { empty: 'Enter magnification, marked aperture and pixel pitch: the plan appears at once.' };
  try {
    return { plan: makePlan(request) };
  } catch (error) {
    return { problem: error instanceof UserError ? inWindowWords(error.line) : 'These values don’t make a plan.' };
  }
}

function PlanResult({ plan, request }: { plan: Plan; request: PlanRequest }) {
  const store = useStore();
  const { wholeUnits } = plan;
  return (
    <section aria-label="Plan">
      <p className="lead">Depth of field <strong>{um(plan.dofUm)}</strong>, travel <strong>{um(plan.travelUm)}</strong>.{wholeUnits && <> With whole rail units: <strong>{wholeUnits.units}</strong> a step, {um(wholeUnits.stepUm)}, <strong>{wholeUnits.frames} frames</strong>, {percent(Math.max(0, wholeUnits.overlap))} overlap.</>}{plan.clearanceMm !== null && <> <strong>{plan.clearanceMm.toFixed(1)} mm</strong> stay free before the lens.</>}</p>
      <div className="caution" role="note">{plan.cautions.map((text) => <p key={text}>{keptTogether(inWindowWords(text))}</p>)}</div>
      <PlanChart plan={plan} request={request} />
      <table>
        <caption>What other apertures would cost. “Resolved” is the finest detail on the subject. Press an aperture to plan with it.</caption>
        <thead><tr><th scope="col">Marked</th><th scope="col">Effective</th><th scope="col">Depth of field</th><th scope="col">Step</th><th scope="col">Frames</th><th scope="col">Airy disc</th><th scope="col">Resolved</th><th scope="col">Limited by</th></tr></thead>
        <tbody>{plan.apertures.map((a) => (
          <tr key={a.fNumber} className={a.fNumber === request.fNumber ? 'picked' : ''}><th scope="row"><button type="button" className="plain" aria-pressed={a.fNumber === request.fNumber} onClick={() => store.enter('fNumber', a.fNumber)}>f/{a.fNumber}</button></th><td>f/{a.effectiveFNumber.toFixed(1)}</td><td>{um(a.dofUm)}</td><td>{um(a.stepUm)}</td><td>{a.frames}</td><td>{a.airyDiameterPx.toFixed(1)} px</td><td>{um(a.resolvedUm)}</td><td>{a.limitedBy}</td></tr>
        ))}</tbody>
      </table>
      {plan.pupilRatioRange && <table>
        <caption>The pupil ratio is not known. What it may be, and what that would mean at f/{request.fNumber}:</caption>
        <thead><tr><th scope="col">Pupil ratio</th><th scope="col">Effective</th><th scope="col">Depth of field</th><th scope="col">Step</th><th scope="col">Frames</th></tr></thead>
        <tbody>{plan.pupilRatioRange.map((c) => <tr key={c.pupilRatio}><th scope="row">{c.pupilRatio}</th><td>f/{c.effectiveFNumber.toFixed(1)}</td><td>{um(c.dofUm)}</td><td>{um(c.stepUm)}</td><td>{c.frames}</td></tr>)}</tbody>
      </table>}
      <PupilRatioHelp />
    </section>
  );
}
