import { useState } from 'react';
import { pupilRatioFromRuler, pupilRatioFromTwoStacks } from '../../src/optics/pupil-ratio.js';
import { NumberLine } from '../parts/number-line.js';
import { useStore } from '../state/window-context.js';

/** Two ways to measure the pupil ratio: a ruler, or two stacks; each takes over its result. */
export function PupilRatioHelp() {
  const [behind, setBehind] = useState<number | null>(null), [front, setFront] = useState<number | null>(null);
  const [stacks, setStacks] = useState<Record<'m1' | 's1' | 'm2' | 's2', number | null>>({ m1: null, s1: null, m2: null, s2: null });
  const { m1, s1, m2, s2 } = stacks;
  const byRuler = behind && front ? pupilRatioFromRuler(behind, front) : null;
  const close = m1 !== null && m2 !== null && Math.abs(m1 / m2 - 1) < 0.1;
  const all = m1 && s1 && m2 && s2 && !close, byStacks = all ? pupilRatioFromTwoStacks({ magnification: m1, stepDof: s1 }, { magnification: m2, stepDof: s2 }) : null;
  return (
    <details className="pupil">
      <summary>Measure the pupil ratio</summary>
      <div className="two">
        <div>
          <h3>With a ruler</h3>
          <p>Hold the lens at arm’s length against something bright, at the aperture you use. Measure the bright disc you see from the camera’s side, then from the subject’s side.</p>
          <NumberLine name="From behind" unit="mm" value={behind} step={0.1} onChange={setBehind} />
          <NumberLine name="From the front" unit="mm" value={front} step={0.1} onChange={setFront} />
          <Found ratio={byRuler} missing="Enter both discs." />
        </div>
        <div>
          <h3>From two stacks</h3>
          <p>Shoot two stacks with the same lens, the same marked aperture and the same rail step, at two magnifications. Check both here without optics entered, and take over their usual step in DOF.</p>
          {([['m1', 'First magnification', '×'], ['s1', 'Its usual step', 'DOF'], ['m2', 'Second magnification', '×'], ['s2', 'Its usual step', 'DOF']] as const).map(([key, name, unit]) =>
            <NumberLine key={key} name={name} unit={unit} value={stacks[key]} step={0.01} onChange={(value) => setStacks({ ...stacks, [key]: value })} />)}
          <Found ratio={byStacks} missing={close ? 'The two magnifications must differ by a tenth at least.' : all ? 'No lens fits these steps: check that step and aperture were the same.' : 'Enter all four.'} />
        </div>
      </div>
    </details>
  );
}

function Found({ ratio, missing }: { ratio: number | null; missing: string }) {
  const store = useStore();
  if (ratio === null) return <p className="foot"><span>{missing}</span></p>;
  return <p className="row"><output>Pupil ratio {ratio.toFixed(2)}</output> <button type="button" onClick={() => store.enter('pupilRatio', Number(ratio.toFixed(3)))}>Use it</button></p>;
}
