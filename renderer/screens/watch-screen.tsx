import { useEffect, useRef, useState } from 'react';
import { UserError } from '../../src/contract/errors.js';
import type { WatchEvent } from '../../src/contract/host.js';
import { frameLabels } from '../../src/optics/frame-labels.js';
import { watchAdvice } from '../../src/optics/watch-advice.js';
import { playTone } from '../parts/play-tone.js';
import { Ladder } from '../panels/ladder.js';
import { useStore, useWindowState } from '../state/window-context.js';

/** While shooting: one word, one number, one line, to be read from two metres. */
export function WatchScreen() {
  const store = useStore();
  const { stack, settings } = useWindowState();
  const [folder, setFolder] = useState(stack?.folder ?? '');
  const [event, setEvent] = useState<WatchEvent | null>(null);
  const [running, setRunning] = useState<AbortController | null>(null);
  const [problem, setProblem] = useState<string | null>(null);
  const [sound, setSound] = useState<AudioContext | null>(null);
  const soundNow = useRef(sound);
  useEffect(() => { soundNow.current = sound; }, [sound]);
  useEffect(() => () => running?.abort(), [running]);
  const start = async (): Promise<void> => {
    const controller = new AbortController();
    setRunning(controller);
    setProblem(null);
    try {
      await store.host.watch(folder, settings, (next) => {
        setEvent(next);
        const kind = next.kind === 'report' ? watchAdvice(next.report, next.newest).sound : null;
        if (kind && soundNow.current) playTone(soundNow.current, kind);
      }, controller.signal);
    } catch (error) {
      if (!controller.signal.aborted) setProblem(error instanceof UserError ? error.line : 'Watching has stopped.');
    }
    setRunning(null);
  };
  const report = event?.kind === 'report' ? event.report : null;
  const advice = event?.kind === 'report' ? watchAdvice(event.report, event.newest) : null;
  if (!running && !report) return (
    <main className="page">
      <h1>Watch a folder fill</h1>
      <p>Each frame is placed as it arrives. Name the folder the camera’s pictures come into.</p>
      <form className="path" onSubmit={(submit) => { submit.preventDefault(); void start(); }}>
        <label>Folder <input value={folder} onChange={(change) => setFolder(change.target.value)} spellCheck={false} required /></label>
        <button type="submit" className="strong">Watch</button>
      </form>
      {problem && <p role="alert">{problem}</p>}
    </main>
  );
  return (
    <main className="watch-screen">
      {report ? <Ladder report={report} labels={frameLabels(report.stack.frames.map((frame) => frame.file))} /> : <section className="ladder" aria-label="Ladder"><h2>Ladder, so far</h2></section>}
      <section className="advice" role="status" aria-label="Advice">
        <h1>{advice?.word ?? 'Waiting.'}</h1>
        <p className="figure">{advice?.figure}</p>
        <p className="what">{advice?.line ?? event?.message ?? 'The first frame is looked at as soon as it is written.'}</p>
        {advice?.caution && <p className="caution">{advice.caution}</p>}
        {problem && <p role="alert">{problem}</p>}
      </section>
      <footer>
        <span>{report ? `${report.stack.frames.length} frames` : ''}</span>
        <button type="button" aria-pressed={sound !== null} onClick={() => setSound((old) => { void old?.close(); return old ? null : new AudioContext(); })}>{sound ? 'Sound is on' : 'Sound is off'}</button>
        {running ? <button type="button" onClick={() => running.abort()}>Stop watching</button> : <button type="button" onClick={() => void start()}>Watch again</button>}
      </footer>
    </main>
  );
}
