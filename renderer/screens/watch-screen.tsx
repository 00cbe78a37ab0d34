import { useState } from 'react';
import type { Report } from '../../src/contract/report.js';
import { frameLabels } from '../../src/optics/frame-labels.js';
import { countText } from '../../src/optics/number-text.js';
import { watchAdvice } from '../../src/optics/watch-advice.js';
import { dof, um } from '../format/numbers.js';
import { keptTogether } from '../format/kept-together.js';
import { inWindowWords } from '../format/window-words.js';
import { CardChoice } from '../panels/card-choice.js';
import { Ladder } from '../panels/ladder.js';
import { nextPosition } from '../charts/next-position.js';
import { rigValue } from '../state/rig-fields.js';
import { useStore, useWindowState } from '../state/window-context.js';

const TONES = [['good', 'Good: once, high'], ['thin', 'Thin: twice'], ['gap', 'Gap: three times, low']] as const;

/** While shooting: one word, one number, one line, to be read from two metres. */
export function WatchScreen() {
  const { watch } = useWindowState();
  return watch.running || watch.event ? <Watching /> : <NameFolder />;
}

function NameFolder() {
  const store = useStore();
  const { watch, stack, recent, folderDialog } = useWindowState();
  const [folder, setFolder] = useState(watch.folder || stack?.folder || '');
  return (
    <main className="page">
      <h1>Watch a folder fill while you shoot.</h1>
      <p>Each frame is placed on the ladder as soon as it is written, and the screen says in large letters whether to go on, to take shorter steps or to go back. Name the folder the camera’s pictures come into.</p>
      <form className="path" onSubmit={(submit) => { submit.preventDefault(); void store.watch.start(folder); }}>
        <label>Folder <input value={folder} onChange={(change) => setFolder(change.target.value)} spellCheck={false} required list="recent-folders" /></label>
        <datalist id="recent-folders">{recent.map((each) => <option key={each.folder} value={each.folder} />)}</datalist>
        {folderDialog && <button type="button" onClick={() => void store.host.pickFolder().then((picked) => { if (picked) setFolder(picked); })}>Choose…</button>}
        <button type="submit" className="strong">Watch</button>
      </form>
      {watch.problem && <div role="alert"><p>{watch.problem.message}</p><p>{watch.problem.remedy}</p></div>}
      <h2>Sounds</h2>
      <p className="row"><SoundSwitch />{TONES.map(([kind, name]) => <button key={kind} type="button" onClick={() => store.watch.tryTone(kind)}>{name}</button>)}</p>
      <h2>Set-up</h2>
      <div className="narrow"><CardChoice /></div>
      <OpticsLine />
    </main>
  );
}

function OpticsLine() {
  const { settings } = useWindowState();
  const known = rigValue('magnification', settings) !== null && rigValue('fNumber', settings) !== null;
  return <p className="foot"><span>{known ? 'Steps are said in µm.' : 'Magnification and aperture are not known: steps are said in depths of field. Enter them on the Plan screen, or choose a card.'}</span></p>;
}

function SoundSwitch() {
  const store = useStore();
  const { sound } = useWindowState();
  return <button type="button" aria-pressed={sound} onClick={() => store.watch.setSound(!sound)}>{sound ? 'Sound is on' : 'Sound is off'}</button>;
}

function Watching() {
  const store = useStore();
  const { watch: { event, running, problem, folder } } = useWindowState();
  const report = event?.kind === 'report' ? event.report : null;
  const advice = event?.kind === 'report' ? watchAdvice(event.report, event.newest) : null;
  return (
    <main className="watch-screen">
      {report ? <Ladder report={report} labels={frameLabels(report.stack.frames.map((frame) => frame.file))} nextDof={running ? nextPosition(report) : null} live />
        : <section className="ladder" aria-label="Ladder"><h2>Ladder, so far</h2><p className="empty">The first two frames make the first step.</p></section>}
      <section className="advice" role="status" aria-label="Advice">
        <h1>{problem ? 'Stopped.' : advice?.word ?? 'Waiting.'}</h1>
        <p className="figure">{keptTogether(advice?.figure ?? '')}</p>
        <p className="what">{problem ? `${problem.message} ${problem.remedy}` : keptTogether(advice?.line ?? inWindowWords(event?.message ?? 'The first frame is looked at as soon as it is written.'))}</p>
        {report && <p className="so-far">{soFar(report)}</p>}
        {advice?.caution && <p className="caution">{advice.caution}</p>}
      </section>
      <footer>
        <span className="count">{report ? countText(report.stack.frames.length, 'frame') : event ? countText(event.kind === 'waiting' ? event.frames : 0, 'frame') : ''}</span>
        <span className="where" title={folder}>{folder}</span>
        <SoundSwitch />
        {running ? <button type="button" onClick={() => store.watch.stop()}>Stop watching</button>
          : <><button type="button" onClick={() => void store.watch.start(folder)}>Watch again</button><button type="button" onClick={() => void store.openFolder(folder)}>Check the stack</button><button type="button" onClick={() => store.watch.forget()}>Another folder</button></>}
      </footer>
    </main>
  );
}

/** The steps so far in a sentence or two: what an even hand has done up to here, and the places to go back to. */
function soFar(report: Report): string {
  const good = report.steps.filter((step) => step.grade === 'good' && step.stepDof !== null), gaps = report.steps.filter((step) => step.grade === 'gap');
  const labels = frameLabels(report.stack.frames.map((frame) => frame.file)), dofUm = report.optics.dofUm.value;
  const lengths = good.map((step) => step.stepDof ?? 0).sort((a, b) => a - b), middle = lengths[Math.floor(lengths.length / 2)];
  const even = good.length < 2 ? '' : `${good.length} of ${report.steps.length} steps are good, ${dofUm === null ? dof(middle) : um(middle * dofUm)} as a rule.`;
  if (gaps.length === 0) return even;
  const named = gaps.slice(-2).map((step) => `${labels[step.from]} and ${labels[step.to]}`).join(', ');
  return `${even} ${gaps.length === 1 ? 'One gap' : `${gaps.length} gaps`} so far${gaps.length > 2 ? ', the last' : ''}: between ${named}.`;
}
