import { describe, expect, it } from 'vitest';
import type { Step } from '../../src/contract/report.js';
import { capturePause, pauseText } from '../../src/diagnosis/capture-pause.js';
import { folderDoubt, type FolderLook } from '../../src/diagnosis/folder-doubt.js';
import { growthFindings } from '../../src/diagnosis/growth-findings.js';
import { growthSteps } from '../../src/diagnosis/growth-steps.js';
import { magnificationJumps } from '../../src/diagnosis/magnification-jumps.js';
import { missingNumbers } from '../../src/diagnosis/missing-numbers.js';
import { speckFinding } from '../../src/diagnosis/speck-finding.js';
import { twoPasses } from '../../src/diagnosis/two-passes.js';

// Expected values follow from how each input is made, written beside it.

const numbered = (n: number, first = 1) => Array.from({ length: n }, (_, i) => String(first + i));

describe('growth as a second meter', () => {
  // Growth of 0.002 per DOF, off by 2 % in turn: ten steps of 0.6.
  const growth = Array.from({ length: 10 }, (_, i) => ({ lnScale: 0.0012 * (i % 2 ? 1.02 : 0.98), sigma: 2e-5 }));
  const steps = growth.map(() => ({ stepDof: 0.6, sigmaDof: 0.02, measured: true }));
  const inReport = (change: (i: number) => Partial<Step>): Step[] => steps.map((step, i) => ({
    from: i, to: i + 1, stepDof: step.stepDof, sigmaDof: 0.02, stepUm: null, overlap: 0.4, grade: 'good', atLeast: false, softAreaShare: 0, surfaceShare: 0.1, ...change(i),
  }));

  it('reads steps in the focus curves’ own unit and agrees', () => {
    const found = growthSteps(growth, steps);
    found.forEach((step) => { expect(Math.abs(step!.stepDof - 0.6)).toBeLessThan(0.03); expect(Math.abs(step!.pull!)).toBeLessThan(1); });
    expect(growthFindings(inReport(() => ({})), found, numbered(11), null)).toEqual([]);
  });
  it('names the frames where the picture grew three times as much as focus says', () => {
    const odd = growth.map((g, i) => (i === 4 ? { ...g, lnScale: 0.0036 } : g)), found = growthSteps(odd, steps);
    const [finding, ...more] = growthFindings(inReport(() => ({})), found, numbered(11), 25);
    expect(more).toEqual([]);
    expect(finding).toMatchObject({ kind: 'growth-disagrees', frames: [4, 5] });
    expect(finding.message).toContain('between 5 and 6 0.60 × DOF, the growth of the picture about 1.8 ');
  });
  it('gives an estimate where focus leaves a step open, and no grade with it', () => {
    const wide = growth.map((g, i) => (i === 7 ? { ...g, lnScale: 0.004 } : g)), open = steps.map((s, i) => (i === 7 ? { ...s, measured: false } : s));
    const report = inReport((i) => (i === 7 ? { grade: 'unmeasured' } : {}));
    const [finding] = growthFindings(report, growthSteps(wide, open), numbered(11), 25);
    // 0.004 at 0.002 per DOF: 2 DOF of 25 µm.
    expect(finding).toMatchObject({ kind: 'growth-estimate', severity: 'info', frames: [7, 8] });
    expect(finding.message).toMatch(/about 2\.0 ± 0\.4 × DOF \((49|50|51) µm\)/);
    expect(report[7].grade).toBe('unmeasured');
  });
  it('keeps silent where it is no meter: noisy, or of too few intervals', () => {
    const noisy = growth.map((_, i) => ({ lnScale: 0.0012 * (((7 * i) % 10) / 2.5 - 1), sigma: 2e-5 }));
    expect(growthSteps(noisy, steps).every((step) => step === null)).toBe(true);
    expect(growthSteps(growth.slice(0, 6), steps.slice(0, 6)).every((step) => step === null)).toBe(true);
    expect(growthSteps(growth.map(() => null), steps).every((step) => step === null)).toBe(true);
  });
});

describe('magnificationJumps', () => {
  const steps = new Array<number>(10).fill(0.6), growth = steps.map(() => ({ lnScale: 0.0012, sigma: 1e-4 }));
  it('finds a size that changed by 4 % between two frames', () => {
    const [jump, ...more] = magnificationJumps(growth.map((g, i) => (i === 3 ? { ...g, lnScale: -0.04 } : g)), steps);
    expect(jump.interval).toBe(3);
    expect(more).toEqual([]);
    expect(jump.lnScale).toBeCloseTo(-0.0412, 6);
  });
  // At 1× f/8 a DOF of 0.56 mm at 65 mm grows the picture by 0.9 % (perspective): five DOF are 4 %.
  it('leaves a deep gap at low magnification alone', () => expect(magnificationJumps([...steps.map(() => ({ lnScale: 0.0052, sigma: 3e-4 })), { lnScale: 0.044, sigma: 1e-3 }], [...steps, 5])).toEqual([]));
  it('does not trust what is as noisy as the jump', () => expect(magnificationJumps(growth.map((g, i) => (i === 3 ? { lnScale: 0.04, sigma: 0.01 } : g)), steps)).toEqual([]));
});

describe('missingNumbers', () => {
  const named = (numbers: number[]) => numbers.map((n) => `IMG_${String(n).padStart(4, '0')}.JPG`);
  const hint = (numbers: number[]) => missingNumbers(named(numbers), numbers.map(String));
  it('hints at a frame deleted in between', () => expect(hint([1, 2, 3, 5, 6, 7])[0]).toMatchObject({ kind: 'missing-number', severity: 'info', frames: [2, 3], message: expect.stringContaining('one number between 3 and 5') as string }));
  it.each([['none is missing', [1, 2, 3, 4, 5]], ['another day follows', [1, 2, 3, 4, 90, 91, 92]], ['they are no counter', [1, 3, 5, 7, 9, 11]], ['they are few', [1, 3, 4]]])('says nothing where %s', (_, numbers) => expect(hint(numbers)).toEqual([]));
  it('says nothing of names of several kinds', () => expect(missingNumbers(['a1.jpg', 'a2.jpg', 'b4.jpg', 'b5.jpg', 'b6.jpg'], numbered(5))).toEqual([]));
});

describe('capturePause', () => {
  const seconds = (list: number[]) => list.map((s) => 1000 * s);
  it('finds the pause between two runs', () => expect(capturePause(seconds([0, 5, 10, 15, 615, 620, 625]))).toEqual({ before: [0, 1, 2, 3], after: [4, 5, 6], seconds: 600 }));
  it('orders by the clock, not by the file', () => expect(capturePause(seconds([600, 605, 0, 5, 10]))).toMatchObject({ before: [2, 3, 4], after: [0, 1] }));
  it.each([['even steps', [0, 90, 180, 270, 360]], ['a short wait', [0, 2, 4, 50, 52]]])('finds none in %s', (_, list) => expect(capturePause(seconds(list))).toBeNull());
  it('says nothing where a time is missing', () => expect(capturePause([0, 5000, null, 900_000, 905_000])).toBeNull());
  it('speaks in minutes and hours', () => expect([90, 600, 7200].map(pauseText)).toEqual(['1.5 minutes', '10 minutes', '2 hours']));
});

describe('twoPasses', () => {
  const ramp = (n: number, from = 0, step = 0.6) => Array.from({ length: n }, (_, i) => from + step * i);
  const pass = (position: number[], pauseAt?: number) => twoPasses({ position, labels: numbered(position.length), timesMs: position.map((_, i) => (pauseAt === undefined ? null : 4000 * i + (i >= pauseAt ? 900_000 : 0))) });
  it('names both, with the pause between them', () => {
    const finding = pass([...ramp(10), ...ramp(10, 0.3)], 10);
    expect(finding).toMatchObject({ kind: 'two-passes', frames: [9, 10] });
    expect(finding?.message).toMatch(/^1–10 and 11–20 run .* 15 minutes apart/);
  });
  it('finds them by the depths alone where there are no times', () => expect(pass([...ramp(10), ...ramp(10, 0.3)])?.frames).toEqual([9, 10]));
  it.each([
    ['a stack', ramp(20)], ['one shot far to near', ramp(20).reverse()],
    // Frames 5 … 9 were missed and shot afterwards.
    ['a gap filled afterwards', [...ramp(5), ...ramp(11, 6), ...ramp(5, 3)]],
    ['two frames shot again', [...ramp(15), 3, 3.6]], ['a stack continued', [...ramp(8), ...ramp(8, 4.8)]],
  ])('sees none in %s', (_, position) => { expect(pass(position)).toBeNull(); expect(pass(position, 16)).toBeNull(); });
});

describe('speckFinding', () => {
  const specks = { cells: 60, places: 12, share: 0.01 };
  it('names dust where the frames reach beyond every surface', () => expect(speckFinding(specks, 18, 10, 1.9)[0]).toMatchObject({ kind: 'lasting-specks', severity: 'info' }));
  it.each([['a short ladder', specks, 18, 3], ['few frames', specks, 4, 10], ['one glint', { cells: 3, places: 1, share: 0.001 }, 18, 10]] as const)('can’t tell by %s', (_, found, frames, span) => expect(speckFinding(found, frames, span, 1.9)).toEqual([]));
});

describe('folderDoubt', () => {
  const still = { likeness: 0.98, row: 0, column: 0, lnScale: 0 };
  const look = (n: number, change: Partial<FolderLook> = {}): FolderLook => ({
    group: new Array<number>(n).fill(0), move: Array.from({ length: n }, (_, k) => (k ? still : null)), frames: Array.from({ length: n }, (_, k) => k),
    labels: numbered(n + 10), pause: null, otherSize: [], expectedLnScale: new Array<null>(n).fill(null), ...change,
  });
  it('has nothing against one stack, nor against one frame of another size', () => { expect(folderDoubt(look(12))).toBeNull(); expect(folderDoubt(look(12, { otherSize: [12] }))).toBeNull(); });
  it('offers to split two subjects, by the pause where it is the same place', () => {
    const group = [0, 0, 0, 0, 0, 1, 1, 1, 1, 1];
    const finding = folderDoubt(look(10, { group, pause: { before: [0, 1, 2, 3, 4], after: [5, 6, 7, 8, 9], seconds: 1200 } }));
    expect(finding).toMatchObject({ kind: 'two-subjects', severity: 'fault', frames: [4, 5] });
    expect(finding?.message).toMatch(/1–5 show one subject or place, 6–10 another, shot 20 minutes later\. Move 6–10/);
    expect(folderDoubt(look(10, { group }))?.message).not.toContain('later');
  });
  it('names strangers', () => expect(folderDoubt(look(10, { group: [0, 0, 0, 1, 0, 0, 0, 0, 0, 0] }))?.message).toMatch(/^4 shows something else than the other 9 frames/));
  it('gives up on a folder of everything', () => expect(folderDoubt(look(6, { group: [0, 1, 2, 3, 4, 5] }))?.message).toContain('6 different things'));
  it('takes too many frames of another size for a stack of their own', () => expect(folderDoubt(look(8, { otherSize: [8, 9, 10] }))).toMatchObject({ kind: 'two-sizes', frames: [8, 9, 10] }));
  it('names a change of size that the rail does not explain', () => {
    const move = look(10).move.map((m, k) => (k === 6 ? { likeness: 0.9, row: 0, column: 0, lnScale: 0.16 } : m));
    expect(folderDoubt(look(10, { move }))).toMatchObject({ kind: 'magnification-jump', frames: [6] });
    expect(folderDoubt(look(10, { move, expectedLnScale: new Array<number>(10).fill(0.15) }))).toBeNull();
  });
  it('adds up moves sideways', () => {
    const moved = (share: number) => look(10).move.map((m) => (m ? { ...m, column: share } : null));
    expect(folderDoubt(look(10, { move: moved(0.3) }))?.kind).toBe('sideways');
    expect(folderDoubt(look(10, { move: moved(0.03) }))).toBeNull();
  });
});
