import path from 'node:path';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { fixtureWindow } from '../helpers/window-fixtures/fixture-window.js';
import { servedProgram } from './served-program.js';
import { goTo, launchBrowser, openFolder, openPage, verdictOf, violationsInSchemes } from './window-page.js';

let browser: Browser;
beforeAll(async () => { browser = await launchBrowser(); });
afterAll(async () => { await browser.close(); });

describe('the window on the sample stack, with the real engine in a real process', () => {
  let program: Awaited<ReturnType<typeof servedProgram>>;
  beforeAll(async () => { program = await servedProgram('sample-frames/quartz-druse'); });
  afterAll(async () => { await program.close(); });

  it('says what is missing, marks it, draws a curve and judges anew by mouse and by keyboard', async () => {
    const { page, faults } = await openPage(browser, program.address);
    // The truth of the sample is 01111 to 01112, two frames (sample-frames/quartz-druse.truth.json).
    await expect.poll(() => verdictOf(page).textContent(), { timeout: 110_000 }).toMatch(/Leave the rig up: two frames are missing\..*01111.*01112/);
    await page.getByRole('option', { name: /^Missing band/ }).click();
    expect(Number(await page.locator('.canvas').getAttribute('data-marked'))).toBeGreaterThan(50);
    await expect.poll(() => page.getByRole('region', { name: 'Focus curve' }).textContent()).toMatch(/Surface at \d+/);
    expect(page.url()).toContain('step=10');
    for (const name of ['Ladder', 'Picture', 'Focus curve', 'Top-up', 'Proof', 'Steps', 'Rig card']) expect(await page.getByRole('region', { name, exact: true }).count(), name).toBe(1);
    await page.getByLabel(/Marked aperture/).fill('11');
    // Effective f-number 11 (1 + 5) = 66: DOF 0.55 / (5 / 132)² = 383 µm (optics-reference: λ/NA²), so the figures beside the verdict must follow.
    await expect.poll(() => verdictOf(page).textContent(), { timeout: 60_000 }).toMatch(/38\d\s*µm\s*depth of field/);
    await page.getByLabel(/Marked aperture/).fill('2.8');
    await expect.poll(() => verdictOf(page).textContent(), { timeout: 60_000 }).toMatch(/25\s*µm\s*depth of field/);
    await page.getByRole('listbox', { name: /Frames and missing bands/ }).focus();
    await page.keyboard.press('Home');
    await expect.poll(() => page.url()).toContain('frame=0');
    await page.keyboard.press('g');
    await expect.poll(() => page.url()).toContain('step=10');
    const kept = page.url();
    await page.reload();
    await expect.poll(() => page.locator('.band.harmful.picked').count(), { timeout: 110_000 }).toBe(1);
    expect(page.url()).toBe(kept);
    expect(faults).toEqual([]);
    await page.close();
  }, 240_000);
});

describe('the window on made-up stacks', () => {
  let made: Awaited<ReturnType<typeof fixtureWindow>>;
  beforeAll(async () => { made = await fixtureWindow(0); });
  afterAll(async () => { await made.close(); });

  it('lets a path that is pasted take the place of the folder shown, which comes late', async () => {
    const { page, faults } = await openPage(browser, made.server.address);
    await page.getByRole('button', { name: 'Open…' }).click();
    const field = page.getByLabel('Folder');
    await expect.poll(() => field.inputValue()).not.toBe('');
    // As a paste does it: nothing is selected or cleared first.
    await page.keyboard.insertText(made.gap);
    expect(await field.inputValue()).toBe(made.gap);
    expect(faults).toEqual([]);
    await page.close();
  });

  it('tells on one line what to know of each frame, and all of it in the row that is picked, without covering the next', async () => {
    const { page, faults } = await openPage(browser, made.server.address, { viewport: { width: 1024, height: 700 } });
    await openFolder(page, made.gap);
    await page.locator('.verdict[data-decision]').waitFor();
    await page.getByRole('tab', { name: 'Frames' }).click();
    const row = page.locator('.body .frame-row').filter({ hasText: 'blurred' }).first(), words = row.locator('span').last();
    const cut = (): Promise<boolean> => words.evaluate((element) => element.scrollWidth > element.clientWidth || element.scrollHeight > element.clientHeight);
    expect(await cut(), 'too long for its line').toBe(true);
    await row.getByRole('button').click();
    await expect.poll(cut).toBe(false);
    await expect.poll(async () => {
      const boxes = await page.locator('.body .frame-row').evaluateAll((rows) => rows.map((each) => { const { top, bottom } = each.getBoundingClientRect(); return { top, bottom }; }).sort((a, b) => a.top - b.top));
      return boxes.slice(1).every(({ top }, i) => top >= boxes[i].bottom - 0.5);
    }).toBe(true);
    expect(faults).toEqual([]);
    await page.close();
  });

  it('has no accessibility violation on any screen and scheme, and nothing asks another host', async () => {
    const { page, faults } = await openPage(browser, made.server.address, { reducedMotion: 'reduce' });
    const found: string[] = [];
    const look = async (what: string): Promise<void> => {
      for (const each of await violationsInSchemes(page)) found.push(`${what}, ${each}`);
    };
    await page.getByRole('heading', { name: 'Is every depth sharp?' }).waitFor();
    await look('start');
    await page.getByRole('button', { name: 'Keys' }).click();
    await look('keys');
    await page.keyboard.press('Escape');
    for (const folder of [made.gap, made.undecided]) {
      await openFolder(page, folder);
      await page.locator('.verdict[data-decision]').waitFor();
      await look('stack');
      await page.getByRole('tab', { name: 'Frames' }).click();
      await look('frames');
      await page.getByRole('tab', { name: 'Noticed' }).click();
      await look('noticed');
      await page.getByRole('tab', { name: 'Steps' }).click();
    }
    await openFolder(page, made.gap);
    await page.locator('.verdict[data-decision]').waitFor();
    await page.locator('.picture .canvas').focus();
    for (const key of ['l', 'ArrowRight', 'Shift+ArrowDown', 'l']) await page.keyboard.press(key);
    await page.getByRole('region', { name: 'Depth profile' }).waitFor();
    await look('depth profile');
    await openFolder(page, path.join(made.home, 'gone'));
    await page.getByRole('alert').waitFor();
    await look('error');
    await goTo(page, 'Plan');
    expect(await page.getByRole('alert').count(), 'nothing entered yet is no alarm').toBe(0);
    await look('plan, nothing entered');
    for (const [name, value] of [['Magnification', '5'], ['Marked aperture', '2.8'], ['Pixel pitch', '3.9']]) await page.getByLabel(name).fill(value);
    // Field limits: rig-options of the command line, 50× at most.
    await page.getByLabel('Magnification').first().fill('60');
    await page.getByText('up to 50', { exact: true }).waitFor();
    await page.getByLabel('Magnification').first().fill('-3');
    await page.getByText('above 0', { exact: true }).waitFor();
    await page.getByLabel('Magnification').first().fill('5');
    await page.getByText('Measure the pupil ratio').click();
    await look('plan');
    await goTo(page, 'Rail');
    await look('rail, nothing open');
    await page.getByRole('button', { name: /Open a stack of a target/ }).click();
    await look('open dialog');
    await page.getByLabel('Folder').fill(made.gap);
    await page.getByRole('button', { name: 'Open this stack' }).click();
    await page.locator('.rail-figures').waitFor();
    await look('rail');
    await goTo(page, 'Watch');
    await look('watch, nothing named');
    await page.getByLabel('Folder').fill(made.gap);
    await page.getByRole('button', { name: 'Watch', exact: true }).last().click();
    await page.getByRole('status', { name: 'Advice' }).getByRole('heading').waitFor();
    await look('watch');
    await page.getByRole('button', { name: 'Stop watching' }).click();
    // What was advised after the last frame is no advice any more; the focus stays on the button that was pressed.
    await page.getByRole('status', { name: 'Advice' }).getByText('Stopped.').waitFor();
    expect(await page.getByRole('status', { name: 'Advice' }).textContent()).toMatch(/Check the whole stack before you take the rig down/);
    expect(await page.evaluate('document.activeElement.textContent')).toBe('Watch again');
    await page.getByRole('button', { name: 'Check the stack' }).waitFor();
    await look('watch, stopped');
    expect([...new Set(found)]).toEqual([]);
    expect(faults).toEqual([]);
    await page.close();
  });

  it('says in words that a folder is broken, and shows hostile names as text', async () => {
    const { page, faults } = await openPage(browser, made.server.address);
    await openFolder(page, path.join(made.home, 'gone'));
    await expect.poll(() => page.getByRole('alert').textContent()).toContain('gone is not there.');
    await page.getByRole('button', { name: 'Open another folder' }).click();
    await page.getByLabel('Folder').fill(made.gap);
    await page.getByRole('button', { name: 'Open this stack' }).click();
    await verdictOf(page).waitFor();
    expect(await page.locator('.top-bar .folder').textContent()).toBe('fluorite <b>"gap" Ärger 水晶');
    expect(faults).toEqual([]);
    await page.close();
  });

  it('stops a running analysis at once', async () => {
    const slow = await fixtureWindow(100, [], 8);
    try {
      const { page } = await openPage(browser, slow.server.address, { reducedMotion: 'reduce' });
      await openFolder(page, slow.gap);
      await page.getByText(/of 12 frames read/).waitFor();
      expect(await violationsInSchemes(page)).toEqual([]);
      // Half read: the picture so far, and no verdict yet.
      await page.getByText(/the sharpest of some of the \d+ frames read/).waitFor();
      expect(await verdictOf(page).textContent()).toContain('still reading');
      expect(await violationsInSchemes(page)).toEqual([]);
      const began = Date.now();
      await page.getByRole('button', { name: 'Stop' }).click();
      await page.getByRole('heading', { name: 'Stopped.' }).waitFor();
      expect(Date.now() - began).toBeLessThan(1000);
      await page.close();
    } finally {
      await slow.close();
    }
  });
});
