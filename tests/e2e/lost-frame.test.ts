import { copyFile, readdir, rm } from 'node:fs/promises';
import path from 'node:path';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { fixtureWindow } from '../helpers/window-fixtures/fixture-window.js';
import { launchBrowser, openFolder, openPage, verdictOf, violations } from './window-page.js';

let browser: Browser, made: Awaited<ReturnType<typeof fixtureWindow>>;
beforeAll(async () => { browser = await launchBrowser(); made = await fixtureWindow(200); });
afterAll(async () => { await browser.close(); await made.close(); });

/** Share of the canvas that is not its plain ground: 0 where no picture is drawn. */
const DRAWN = `(() => { const c = document.querySelector('.picture canvas'), d = c.getContext('2d').getImageData(0, 0, c.width, c.height).data;
  let other = 0; for (let i = 0; i < d.length; i += 4) if (d[i] !== d[0] || d[i + 1] !== d[1]) other++; return other / (d.length / 4); })()`;

it('shows the preview without a frame that went away while frames were read, names it, and keeps verdict and picture', async () => {
  const { page, faults } = await openPage(browser, made.server.address);
  await openFolder(page, made.gap);
  await page.getByText(/of 12 frames read/).waitFor();
  const [gone, replaced, other] = (await readdir(made.gap)).sort().slice(3);
  await rm(path.join(made.gap, gone));
  await copyFile(path.join(made.gap, other), path.join(made.gap, replaced));
  await page.locator('.verdict[data-decision=top-up]').waitFor();
  const alert = page.locator('.picture').getByRole('alert');
  await expect.poll(() => alert.textContent()).toContain(`${gone} is not there any more.`);
  expect(await alert.textContent()).toContain(`${replaced} was replaced after it was measured.`);
  await expect.poll(() => page.evaluate(DRAWN)).toBeGreaterThan(0.3);
  expect(await violations(page)).toEqual([]);
  // A frame that is there is shown without a word.
  await page.getByRole('listbox', { name: /Frames and missing bands/ }).focus();
  await page.keyboard.press('Home');
  await page.keyboard.press('f');
  await expect.poll(() => alert.count()).toBe(0);
  expect(await verdictOf(page).getAttribute('data-decision')).toBe('top-up');
  expect(faults).toEqual([]);
  await page.close();
});
