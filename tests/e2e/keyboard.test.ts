import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { fixtureWindow } from '../helpers/window-fixtures/fixture-window.js';
import { launchBrowser, openPage, verdictOf } from './window-page.js';

let browser: Browser, made: Awaited<ReturnType<typeof fixtureWindow>>;
beforeAll(async () => { browser = await launchBrowser(); made = await fixtureWindow(0); });
afterAll(async () => { await browser.close(); await made.close(); });

const focused = (page: Page): Promise<string> => page.evaluate("document.activeElement?.getAttribute('aria-label') ?? document.activeElement?.textContent ?? ''");
/** Tab until something of that name has the focus; what has it must show it. */
async function tabTo(page: Page, name: RegExp): Promise<void> {
  for (let i = 0; i < 80; i++) {
    await page.keyboard.press('Tab');
    if (!name.test(await focused(page))) continue;
    const shown = await page.evaluate("(() => { const s = getComputedStyle(document.activeElement); return s.outlineStyle !== 'none' && parseFloat(s.outlineWidth) > 0; })()");
    expect(shown, `focus on ${String(name)} is visible`).toBe(true);
    return;
  }
  throw new Error(`no ${String(name)} within eighty tab stops`);
}

it('does the whole journey by keyboard alone', async () => {
  const { page, faults } = await openPage(browser, made.server.address);
  await page.getByRole('heading', { name: 'Is every depth sharp?' }).waitFor();
  await page.keyboard.press('o');
  await page.getByRole('dialog').waitFor();
  await expect.poll(() => page.evaluate('document.activeElement.tagName')).toBe('INPUT');
  // The letter that opened it is not typed into it.
  await expect.poll(() => page.getByLabel('Folder').inputValue()).toMatch(/^\//);
  await page.keyboard.press('ControlOrMeta+a');
  await page.keyboard.type(made.gap);
  await page.keyboard.press('Enter');
  await page.locator('.verdict[data-decision]').waitFor();
  expect(await verdictOf(page).textContent()).toContain('two frames are missing');

  // The missing band, its places, and a curve, from the ladder alone.
  await tabTo(page, /^Frames and missing bands/);
  await page.keyboard.press('Home');
  expect(page.url()).toContain('frame=0');
  for (let i = 0; i < 6; i++) await page.keyboard.press('ArrowUp');
  expect(page.url()).toContain('step=5');
  expect(Number(await page.locator('.canvas').getAttribute('data-marked'))).toBeGreaterThan(10);
  await expect.poll(() => page.getByRole('region', { name: 'Focus curve' }).textContent()).toMatch(/Surface at/);

  // Another place, 100 %, pan, back, and the depths along a line.
  await tabTo(page, /^Picture, \d+ places marked/);
  const before = await page.locator('.canvas').getAttribute('aria-label');
  for (const key of ['Shift+ArrowDown', 'Shift+ArrowRight', 'ArrowLeft']) await page.keyboard.press(key);
  expect(await page.locator('.canvas').getAttribute('aria-label')).not.toBe(before);
  await page.keyboard.press('1');
  await expect.poll(() => page.locator('.zoom').textContent()).toBe('100 %');
  for (const key of ['Alt+ArrowRight', '+', '-', '0', 'd', 'f', 's', 'l', 'Shift+ArrowLeft', 'l']) await page.keyboard.press(key);
  await page.getByRole('region', { name: 'Depth profile' }).waitFor();
  await page.keyboard.press('Escape');
  await page.getByRole('region', { name: 'Focus curve' }).waitFor();

  // Another aperture changes the verdict: at f/16 the step of 1.85 DOF lies far inside one depth of field.
  for (let i = 0; i < 60 && await page.evaluate("document.activeElement?.closest('label')?.textContent?.includes('Marked aperture') ?? false") !== true; i++) await page.keyboard.press('Tab');
  await page.keyboard.press('ControlOrMeta+a');
  await page.keyboard.type('16');
  await expect.poll(() => verdictOf(page).getAttribute('data-decision')).toBe('keep');
  await page.keyboard.press('ControlOrMeta+a');
  await page.keyboard.type('2.8');
  await expect.poll(() => verdictOf(page).getAttribute('data-decision')).toBe('top-up');

  await tabTo(page, /^Steps$/);
  await page.keyboard.press('ArrowRight');
  await page.getByRole('region', { name: 'Frames' }).waitFor();
  await tabTo(page, /^Frames in depth order$/);
  await page.keyboard.press('Tab');
  await page.keyboard.press('Enter');
  expect(page.url()).toContain('frame=0');

  await page.keyboard.press('?');
  await page.getByRole('dialog', { name: 'Keys' }).waitFor();
  await page.keyboard.press('Escape');
  await expect.poll(() => page.getByRole('dialog').count()).toBe(0);
  expect(faults).toEqual([]);
  await page.close();
});

it('lets single letters be switched off, and remembers that and the scheme', async () => {
  const { page } = await openPage(browser, made.server.address);
  await page.getByRole('heading', { name: 'Is every depth sharp?' }).waitFor();
  await page.locator('.scheme select').selectOption('bench');
  await page.keyboard.press('?');
  await page.getByRole('checkbox', { name: /Single letters/ }).uncheck();
  await page.keyboard.press('Escape');
  await page.keyboard.press('o');
  await page.reload();
  await page.getByRole('heading', { name: 'Is every depth sharp?' }).waitFor();
  expect(await page.evaluate('document.documentElement.dataset.scheme')).toBe('bench');
  await page.keyboard.press('o');
  await page.waitForTimeout(200);
  expect(await page.getByRole('dialog').count()).toBe(0);
  await page.close();
});
