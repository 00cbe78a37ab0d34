import { mkdir, mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { fixtureWindow } from '../helpers/window-fixtures/fixture-window.js';
import { launchBrowser, openFolder, openPage, verdictOf, violationsInSchemes } from './window-page.js';

let browser: Browser, made: Awaited<ReturnType<typeof fixtureWindow>>, elsewhere = '';
beforeAll(async () => {
  browser = await launchBrowser();
  made = await fixtureWindow(0);
  elsewhere = path.join(await mkdtemp(path.join(tmpdir(), 'rungwise-drop-')), 'Zinnwald "3" <b>');
  await mkdir(elsewhere);
  await writeFile(path.join(elsewhere, 'a.jpg'), 'not a picture');
});
afterAll(async () => { await browser.close(); await made.close(); await rm(path.dirname(elsewhere), { recursive: true, force: true }); });

/** What the system's file manager does: a real drag with a real path, which the browser keeps from the page. */
async function drop(page: Page, file: string): Promise<void> {
  const wire = await page.context().newCDPSession(page);
  const data = { items: [], files: [file], dragOperationsMask: 1 };
  for (const type of ['dragEnter', 'dragOver', 'drop'] as const) await wire.send('Input.dispatchDragEvent', { type, x: 600, y: 400, data });
}

describe('a folder dropped into the browser’s window', () => {
  it('opens where one of its name and frames lies near a stack opened before', async () => {
    const { page, faults } = await openPage(browser, made.server.address);
    await openFolder(page, made.undecided);
    await page.locator('.verdict[data-decision=undecided]').waitFor();
    await drop(page, made.gap);
    await page.locator('.verdict[data-decision=top-up]').waitFor();
    expect(await page.locator('.top-bar .folder').textContent()).toBe(path.basename(made.gap));
    expect(faults).toEqual([]);
    await page.close();
  });

  it('is asked for in words where it can’t be found, and the stack that is open stays', async () => {
    const { page, faults } = await openPage(browser, made.server.address, { reducedMotion: 'reduce' });
    await openFolder(page, made.gap);
    await verdictOf(page).waitFor();
    await drop(page, elsewhere);
    const dialog = page.getByRole('dialog', { name: 'Open a stack' });
    await dialog.waitFor();
    expect(await dialog.textContent()).toContain(`no single folder called “${path.basename(elsewhere)}” was found`);
    expect(await violationsInSchemes(page)).toEqual([]);
    // By keyboard: the focus is inside, goes round inside, and Escape leaves the open stack as it was.
    for (let i = 0; i < 30; i++) {
      await page.keyboard.press('Tab');
      expect(await page.evaluate("document.activeElement.closest('[role=dialog]') !== null")).toBe(true);
    }
    await page.keyboard.press('Escape');
    await expect.poll(() => dialog.count()).toBe(0);
    expect(await page.locator('.verdict').getAttribute('data-decision')).toBe('top-up');
    await drop(page, elsewhere);
    await dialog.waitFor();
    for (let i = 0; i < 30 && await page.evaluate('document.activeElement.tagName') !== 'INPUT'; i++) await page.keyboard.press('Tab');
    await page.keyboard.press('ControlOrMeta+a');
    await page.keyboard.type(made.undecided);
    await page.keyboard.press('Enter');
    await page.locator('.verdict[data-decision=undecided]').waitFor();
    expect(faults).toEqual([]);
    await page.close();
  });

  it('says to drop the folder where frames were dropped', async () => {
    const { page, faults } = await openPage(browser, made.server.address, { reducedMotion: 'reduce' });
    await page.getByRole('heading', { name: 'Is every depth sharp?' }).waitFor();
    await drop(page, path.join(elsewhere, 'a.jpg'));
    await page.getByText('Drop the folder that holds the frames, not the frames themselves.').waitFor();
    expect(await violationsInSchemes(page)).toEqual([]);
    expect(faults).toEqual([]);
    await page.close();
  });
});
