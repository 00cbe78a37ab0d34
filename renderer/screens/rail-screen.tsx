import { CLEARANCE_CAUTION } from '../../src/optics/cautions.js';
import { frameLabels } from '../../src/optics/frame-labels.js';
import { keptTogether } from '../format/kept-together.js';
import { railFigures, railHeadline } from '../format/rail-words.js';
import { inWindowWords } from '../format/window-words.js';
import { CardChoice } from '../panels/card-choice.js';
import { RailChart } from '../panels/rail-chart.js';
import { RailHowTo } from '../panels/rail-how-to.js';
import { SaveRail } from '../panels/save-rail.js';
import { FrameProgress } from '../parts/frame-progress.js';
import { NumberLine } from '../parts/number-line.js';
import { knownOf, RIG_FIELD_WORDS, SOURCE_WORDS } from '../state/rig-fields.js';
import { useStore, useWindowState } from '../state/window-context.js';

const FIELDS = RIG_FIELD_WORDS.filter(({ field }) => field !== 'railUnitUm' && field !== 'workingDistanceMm');

/** What the rail really does, from a stack of a flat, tilted target. */
export function RailScreen() {
  const store = useStore();
  const { rail, stack, settings } = useWindowState();
  const { phase, result, report, request } = rail;
  const optics = report?.optics ?? null;
  // It stands below with its own caution about clearance: said twice, a caution is read by nobody.
  const howTo = (!result || result.measuredUm === null) && phase !== 'reading';
  return (
    <main className="page rail">
      <h1 role="status" aria-label="Rail verdict">{phase === 'reading' ? `Reading ${rail.stack?.name ?? 'the folder'}.` : phase === 'failed' ? 'This stack could not be measured.' : result ? railHeadline(result) : 'What does the rail really do?'}</h1>
      <div className="plan-columns">
        <form aria-label="What was shot" onSubmit={(event) => event.preventDefault()}>
          <p className="row">
            <button type="button" className={result ? '' : 'strong'} onClick={() => void store.chooseFolder('rail')}>{rail.stack ? 'Another stack…' : 'Open a stack of a target…'}</button>
            {stack && stack.folder !== rail.stack?.folder && <button type="button" onClick={() => void store.rail.open(stack.folder)}>Use {stack.name}</button>}
          </p>
          {rail.stack && <p className="foot"><span>{rail.stack.name}, {rail.stack.frames.length} frames</span></p>}
          <NumberLine name="Commanded" unit="µm" step={0.1} max={1e5} value={request.commandedUm} note="a frame" onChange={(commandedUm) => store.rail.request({ commandedUm })} />
          <NumberLine name="Rail units" step={1} max={1e5} value={request.unitsPerFrame} note="a frame" onChange={(unitsPerFrame) => store.rail.request({ unitsPerFrame })} />
          <NumberLine name="Tilt of the target" unit="°" step={1} max={85} value={request.tiltDeg} note={request.tiltDeg === null ? 'not set' : 'entered'} noteKind={request.tiltDeg === null ? 'unknown' : ''} onChange={(tiltDeg) => store.rail.request({ tiltDeg })} />
          <CardChoice />
          {FIELDS.map(({ field, ...words }) => {
            const { value, source } = knownOf(field, settings, optics);
            return <NumberLine key={field} {...words} value={value} note={SOURCE_WORDS[source]} noteKind={source} onChange={(next) => store.enter(field, next)} />;
          })}
        </form>
        <div>
          {phase === 'reading' && <FrameProgress progress={rail.progress} onStop={() => store.rail.cancel()} />}
          {rail.problem && <div role="alert" className="caution"><p>{rail.problem.message}</p><p>{rail.problem.remedy}</p></div>}
          {result && report && <section aria-label="Rail">
            <dl className="rail-figures">{railFigures(result, labelsOf(report.stack.frames)).map(({ name, value, meaning }, i) => <div key={`${name}${i}`}><dt>{name}</dt><dd><strong>{value}</strong> <span>{meaning}</span></dd></div>)}</dl>
            {result.chart.length > 1 && <RailChart rail={result} labels={labelsOf(report.stack.frames)} />}
            <SaveRail key={settings.rigCard?.name ?? ''} rail={result} />
            <div className="caution" role="note">{result.cautions.filter((text) => !howTo || text !== CLEARANCE_CAUTION).map((text) => <p key={text}>{keptTogether(inWindowWords(text))}</p>)}</div>
          </section>}
          {howTo && <RailHowTo />}
          {result && result.measuredUm !== null && <details><summary>How to shoot such a stack</summary><RailHowTo /></details>}
        </div>
      </div>
    </main>
  );
}

const labelsOf = (frames: readonly { file: string }[]): string[] => frameLabels(frames.map((frame) => frame.file));
