import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { ladderLayout } from '../../renderer/charts/ladder-layout.js';
import { sendsBack, soFar } from '../../renderer/format/watch-words.js';
import { knownHarmless } from '../../renderer/state/whole-look.js';
import { WindowStore } from '../../renderer/state/window-store.js';
import type { Host, WatchEvent } from '../../src/contract/host.js';
import type { Report } from '../../src/contract/report.js';
import { fixtureReport } from '../helpers/window-fixtures/fixture-report.js';

/** Frames 0.6 DOF apart, by how the fixture is made; the step from 0103 to 0104 is of 1.85 DOF, and no surface lies in it. */
const GAP = 2, soFarShot = (frames: number): Report => fixtureReport({ frames, stepDof: 0.6, longSteps: { [GAP]: 1.85 }, emptySteps: [GAP], dofUm: 25, rows: 320, columns: 480 });
/** A quick look's few tiles may show surface where there is none. */
const unlike = (report: Report): Report => ({ ...report, steps: report.steps.map((step, i) => (i === GAP ? { ...step, stepDof: 1.9, softAreaShare: 0.03, surfaceShare: 0.1 } : step)) });
/** A frame more, its place between the third and the fourth; both steps it makes are as long as is said. */
const between = (report: Report, stepDof: number): Report => {
  const last = report.stack.frames.length, order = [...report.stack.order];
  order.splice(GAP + 1, 0, last);
  const steps = report.steps.flatMap((step, i) => (i === GAP ? [{ ...step, to: last, stepDof }, { ...step, from: last, stepDof }].map((made) => ({ ...made, grade: stepDof > 1 ? 'gap' as const : 'thin' as const })) : [step]));
  const frame = { ...report.stack.frames[GAP], file: 'specimen-0199.jpg', positionDof: report.stack.frames[GAP].positionDof! + stepDof };
  return { ...report, stack: { ...report.stack, frames: [...report.stack.frames, frame], order }, steps };
};
const newestOf = (report: Report): string => report.stack.frames[report.stack.frames.length - 1].file;

let store: WindowStore, told: (event: WatchEvent) => void;
beforeEach(() => {
  vi.stubGlobal('location', { hash: '' });
  vi.stubGlobal('history', { replaceState: () => undefined });
  const host: Partial<Host> = { kind: 'browser', watch: (_folder, _settings, onEvent) => { told = onEvent; return new Promise<void>(() => undefined); } };
  store = new WindowStore(host as Host);
  void store.watch.start('/incoming');
});
afterEach(() => { vi.unstubAllGlobals(); });

const frameCame = (report: Report, newest = newestOf(report)): void => told({ kind: 'report', report, newest, whole: false, message: '' });
const wholeAtFrame = (report: Report): void => told({ kind: 'report', report, newest: newestOf(report), whole: true, message: '' });
const pause = (report: Report): void => told({ kind: 'report', report, newest: null, whole: true, message: '' });

/** What the screen shows of the gaps: those that count and those that do no harm, by their ladder, by the sentence, and whether it minds the room. */
function shown(): { missing: number; empty: number; words: string; back: boolean } {
  const { event, wholeLook } = store.getState().watch;
  if (event?.kind !== 'report') throw new Error('nothing was told');
  const harmless = knownHarmless(event.report, wholeLook), { bands } = ladderLayout(event.report, harmless);
  return { missing: bands.filter((band) => band.harmful).length, empty: bands.filter((band) => !band.harmful).length, words: soFar(event.report, harmless).replace(/^.*? as a rule\. ?/, ''), back: sendsBack(event.report, harmless) };
}
const HARMLESS = { missing: 0, empty: 1, words: 'No surface lies in the gap between 0103 and 0104: it is harmless.', back: false };
const COUNTS = { missing: 1, empty: 0, words: 'One gap so far: between 0103 and 0104.', back: true };
const pausedAt = (frames: number): void => {
  pause(soFarShot(frames));
  expect(shown()).toEqual(HARMLESS);
};

describe('a gap without surface, while shooting', () => {
  it('counts until the whole was looked at, and is harmless from then on, whatever later quick looks say of the two frames', () => {
    frameCame(soFarShot(8));
    expect(shown()).toEqual(COUNTS);
    pausedAt(8);
    frameCame(soFarShot(9));
    expect(shown()).toEqual(HARMLESS);
    frameCame(unlike(soFarShot(10)));
    expect(shown()).toEqual(HARMLESS);
    // Nor does a moment without a report make it forgotten.
    told({ kind: 'waiting', frames: 10, message: '' });
    frameCame(unlike(soFarShot(11)));
    expect(shown()).toEqual(HARMLESS);
  });

  it('does not take others along: one with surface, and one made since, count', () => {
    const real = { [GAP]: 1.85, 5: 1.7 }, shot = (frames: number, longSteps: Record<number, number>): Report => fixtureReport({ frames, stepDof: 0.6, longSteps, emptySteps: [GAP, 8], dofUm: 25, rows: 320, columns: 480 });
    pause(shot(9, real));
    expect(shown()).toEqual({ missing: 1, empty: 1, words: 'One gap so far: between 0106 and 0107. No surface lies in the gap between 0103 and 0104: it is harmless.', back: true });
    frameCame(shot(10, { ...real, 8: 1.6 }));
    expect(shown()).toEqual({ missing: 2, empty: 1, words: '2 gaps so far: between 0106 and 0107, 0109 and 0110. No surface lies in the gap between 0103 and 0104: it is harmless.', back: true });
  });

  it('is judged anew where another frame comes between its two, and once that is gone again', () => {
    pausedAt(8);
    frameCame(between(soFarShot(8), 1.2));
    expect(shown()).toEqual({ missing: 2, empty: 0, words: '2 gaps so far: between 0103 and 0199, 0199 and 0104.', back: true });
    frameCame(soFarShot(9));
    expect(shown()).toEqual(COUNTS);
    pausedAt(9);
  });

  it('is judged anew where one of its two frames is written again', () => {
    pausedAt(8);
    frameCame(soFarShot(8), 'specimen-0104.jpg');
    expect(shown()).toEqual(COUNTS);
    frameCame(soFarShot(9));
    expect(shown()).toEqual(COUNTS);
  });

  it('counts again where a later look at the whole finds surface in it, in a pause or at a frame', () => {
    for (const later of [pause, wholeAtFrame]) {
      pausedAt(8);
      later(unlike(soFarShot(9)));
      expect(shown()).toEqual(COUNTS);
      frameCame(soFarShot(10));
      expect(shown()).toEqual(COUNTS);
    }
  });

  it('counts while one of its two is the newest, also where the whole was looked at: the advice sends back for it', () => {
    wholeAtFrame(soFarShot(GAP + 2));
    expect(shown()).toMatchObject({ missing: 1, empty: 0, back: true });
    wholeAtFrame(soFarShot(GAP + 3));
    expect(shown()).toEqual(HARMLESS);
  });

  it('is forgotten with the folder: another watch begins with nothing known', () => {
    pausedAt(8);
    void store.watch.start('/incoming');
    frameCame(soFarShot(9));
    expect(shown()).toEqual(COUNTS);
  });
});
