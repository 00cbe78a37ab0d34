import { useMemo, useState } from 'react';
import { ROOM_REMINDER } from '../../src/optics/cautions.js';
import { frameLabels } from '../../src/optics/frame-labels.js';
import { countText } from '../../src/optics/number-text.js';
import { watchAdvice } from '../../src/optics/watch-advice.js';
import { cardWords } from '../format/card-words.js';
import { keptTogether } from '../format/kept-together.js';
import { sendsBack, soFar } from '../format/watch-words.js';
import { inWindowWords } from '../format/window-words.js';
import { CardChoice } from '../panels/card-choice.js';
import { Ladder } from '../panels/ladder.js';
import { nextPosition } from '../charts/next-position.js';
import { knownHarmless } from '../state/whole-look.js';
import { useStore, useWindowState } from '../state/window-context.js';

const FIRST = 'The first frame is looked at as soon as it is written.';
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
      {watch.problem && <div role="alert" className="caution"><p>{watch.problem.message}</p><p>{watch.problem.remedy}</p></div>}
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
  const values = { ...settings.rigCard?.values, ...settings.entered };
  const known = values.magnification !== undefined && values.fNumber !== undefined;
  return <p className="foot"><span>{cardWords({ values })}. {known ? `Steps are said in µm${values.pixelPitchUm === undefined ? ' where the files tell the pixel pitch' : ''}.` : 'Magnification and aperture are not known: steps are said in depths of field. Enter them on the Plan screen, or choose a card.'}</span></p>;
}

function SoundSwitch() {
  const store = useStore();
  const { sound } = useWindowState();
  return <button type="button" aria-pressed={sound} onClick={() => store.watch.setSound(!sound)}>{sound ? 'Sound is on' : 'Sound is off'}</button>;
}

function Watching() {
  const store = useStore();
  const { watch: { event, wholeLook, running, problem, folder } } = useWindowState();
  const report = event?.kind === 'report' ? event.report : null;
  const harmless = useMemo(() => (report ? knownHarmless(report, wholeLook) : new Set<number>()), [report, wholeLook]);
  // What was said of the last frame no longer holds once nobody looks on.
  const advice = event?.kind === 'report' && running ? watchAdvice(event.report, event.newest) : null;
  const caution = advice?.caution ?? (report && sendsBack(report, harmless) ? ROOM_REMINDER : null);
  return (
    <main className="watch-screen">
      {report ? <Ladder report={report} labels={frameLabels(report.stack.frames.map((frame) => frame.file))} nextDof={running ? nextPosition(report) : null} harmless={harmless} />
        : <section className="ladder" aria-label="Ladder"><h2>Ladder, so far</h2><p className="empty">The first two frames make the first step.</p></section>}
      <section className="advice" data-sound={advice?.sound ?? 'none'} role="status" aria-label="Advice">
        <h1>{running ? advice?.word ?? 'Waiting.' : 'Stopped.'}</h1>
        <p className="figure">{keptTogether(advice?.figure ?? '')}</p>
        <p className="what">{problem ? `${problem.message} ${problem.remedy}` : running ? keptTogether(advice?.line ?? inWindowWords(event?.message ?? FIRST)) : `Nothing more is looked at.${report ? ' Check the whole stack before you take the rig down.' : ''}`}</p>
        {report && <p className="so-far">{soFar(report, harmless)}</p>}
        {caution && <p className="caution">{caution}</p>}
      </section>
      <footer>
        <span className="count">{report ? countText(report.stack.frames.length, 'frame') : event ? countText(event.kind === 'waiting' ? event.frames : 0, 'frame') : ''}</span>
        <span className="where" title={folder}>{folder}</span>
        <SoundSwitch />
        {!running && <button type="button" onClick={() => store.watch.forget()}>Another folder</button>}
        {/* One button for both, so that the focus stays where it was; the next step last, where a second press does no harm. */}
        <button type="button" onClick={() => { if (running) store.watch.stop(); else void store.watch.start(folder); }}>{running ? 'Stop watching' : 'Watch again'}</button>
        {!running && <button type="button" className={report && !problem ? 'strong' : ''} onClick={() => void store.openFolder(folder)}>Check the stack</button>}
      </footer>
    </main>
  );
}
