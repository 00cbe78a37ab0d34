import { copyFile, mkdtemp, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { fixtureWindow } from '../helpers/window-fixtures/fixture-window.js';
import { fixtureReport } from '../helpers/window-fixtures/fixture-report.js';
import { servedProgram } from './served-program.js';
import { goTo, launchBrowser, openPage, violationsInSchemes } from './window-page.js';

let browser: Browser;
beforeAll(async () => { browser = await launchBrowser(); });
afterAll(async () => { await browser.close(); });

async function watch(page: Page, folder: string): Promise<void> {
  await goTo(page, 'Watch');
  await page.getByLabel('Folder').fill(folder);
  await page.getByRole('button', { name: 'Watch', exact: true }).last().click();
}
const advice = (page: Page) => page.getByRole('status', { name: 'Advice' });
const count = (page: Page) => page.locator('.watch-screen .count');
/** The gaps as the live ladder names them. */
const missing = (page: Page) => page.getByRole('option', { name: /^Missing band/ });
const empty = (page: Page) => page.getByRole('option', { name: /^No surface there/ });
/** The last sentences under the advice: how many steps are good is left out. */
const gaps = async (page: Page): Promise<string> => (await page.locator('.so-far').textContent())!.replace(/^.*? as a rule\. ?/, '');

it('on the sample stack: from a pause on, the gap that holds no surface is drawn and said to be harmless, the one that holds some stays', async () => {
  const sample = 'sample-frames/quartz-druse', truth = JSON.parse(await readFile(`${sample}.truth.json`, 'utf8')) as { frames: string[]; harmful: number[]; harmless: number[] };
  // The renderer's own depths: nothing in the step after the sixth frame, a tenth of the picture in the one after the eleventh.
  expect([truth.harmless, truth.harmful]).toEqual([[5], [10]]);
  const incoming = await mkdtemp(path.join(tmpdir(), 'rungwise-incoming-')), program = await servedProgram();
  const deliver = (from: number, to: number): Promise<unknown> => Promise.all(truth.frames.slice(from, to).map((file) => copyFile(path.join(sample, file), path.join(incoming, file))));
  const told = 'One gap so far: between 01111 and 01112. No surface lies in the gap between 01106 and 01107: it is harmless.';
  const bothTold = async (page: Page): Promise<void> => {
    await expect.poll(() => gaps(page), { timeout: 60_000 }).toBe(told);
    expect([await missing(page).count(), await empty(page).count()]).toEqual([1, 1]);
  };
  try {
    const { page, faults } = await openPage(browser, program.address);
    await watch(page, incoming);
    await advice(page).getByText('Waiting.').waitFor();
    // What was shot before is looked at as a whole, as in a pause.
    await deliver(0, 18);
    await bothTold(page);
    await deliver(18, 19);
    await expect.poll(() => count(page).textContent(), { timeout: 60_000 }).toBe('19 frames');
    await advice(page).getByText('Go on.').waitFor();
    await bothTold(page);
    // In the pause the advice after the frame is over.
    await advice(page).getByText('Waiting.').waitFor({ timeout: 60_000 });
    await bothTold(page);
    // There is a place to go back to, and so the room is minded.
    expect(await advice(page).locator('.caution').count()).toBe(1);
    expect(faults).toEqual([]);
    await page.close();
  } finally {
    await program.close();
    await rm(incoming, { recursive: true, force: true });
  }
}, 240_000);

it('sends nobody back for a gap that holds no surface, once a pause has told, until another frame comes between its two', async () => {
  const made = await fixtureWindow(0), folder = path.join(made.home, 'incoming');
  /** The step from 0103 to 0104 is of 1.85 DOF, without surface; a quick look by few tiles may say otherwise. */
  const shot = (frames: number): ReturnType<typeof fixtureReport> => fixtureReport({ frames, stepDof: 0.6, longSteps: { 2: 1.85 }, emptySteps: [2], dofUm: 24.84, folder, columns: 480, rows: 320 });
  const quick = (frames: number): ReturnType<typeof fixtureReport> => { const report = shot(frames); report.steps[2].softAreaShare = 0.03; return report; };
  const frameCame = (report: ReturnType<typeof fixtureReport>): void => made.tell(folder, { kind: 'report', report, newest: report.stack.frames.at(-1)!.file, whole: false, message: '' });
  try {
    const { page, faults } = await openPage(browser, made.server.address, { reducedMotion: 'reduce' });
    await watch(page, folder);
    await page.getByText('No frame yet.').waitFor();
    frameCame(quick(8));
    await expect.poll(() => gaps(page)).toBe('One gap so far: between 0103 and 0104.');
    expect([await missing(page).count(), await empty(page).count()]).toEqual([1, 0]);

    const harmless = 'No surface lies in the gap between 0103 and 0104: it is harmless.';
    made.tell(folder, { kind: 'report', report: shot(8), newest: null, whole: true, message: '' });
    await expect.poll(() => gaps(page)).toBe(harmless);
    expect([await missing(page).count(), await empty(page).count()]).toEqual([0, 1]);
    expect(await advice(page).locator('.caution').count(), 'nothing to go back for, no room to mind').toBe(0);
    expect(await violationsInSchemes(page)).toEqual([]);

    frameCame(quick(9));
    await expect.poll(() => count(page).textContent()).toBe('9 frames');
    expect(await gaps(page)).toBe(harmless);
    expect([await missing(page).count(), await empty(page).count()]).toEqual([0, 1]);

    // Gone back all the same: what was said of the two frames is not said of the steps that the new one makes with each.
    const more = quick(9), newest = { ...more.stack.frames[2], file: 'specimen-0110.jpg', positionDof: more.stack.frames[2].positionDof! + 0.6 };
    const [to, from] = [{ ...more.steps[2], to: 9, stepDof: 0.6, grade: 'good' as const }, { ...more.steps[2], from: 9, stepDof: 1.25 }];
    frameCame({ ...more, stack: { ...more.stack, frames: [...more.stack.frames, newest], order: [0, 1, 2, 9, 3, 4, 5, 6, 7, 8] }, steps: [...more.steps.slice(0, 2), to, from, ...more.steps.slice(3)] });
    await expect.poll(() => gaps(page)).toBe('One gap so far: between 0110 and 0104.');
    expect([await missing(page).count(), await empty(page).count()]).toEqual([1, 0]);
    expect(faults).toEqual([]);
    await page.close();
  } finally {
    await made.close();
  }
});
