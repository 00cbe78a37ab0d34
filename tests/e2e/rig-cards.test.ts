import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { fixtureWindow } from '../helpers/window-fixtures/fixture-window.js';
import { launchBrowser, openFolder, openPage, verdictOf, violationsInSchemes } from './window-page.js';

let browser: Browser, made: Awaited<ReturnType<typeof fixtureWindow>>;
beforeAll(async () => { browser = await launchBrowser(); made = await fixtureWindow(0); });
afterAll(async () => { await browser.close(); await made.close(); });

const focusedName = (page: Page): Promise<string> => page.evaluate("document.activeElement?.getAttribute('aria-label') ?? document.activeElement?.textContent ?? ''");
async function pressOn(page: Page, name: RegExp): Promise<void> {
  for (let i = 0; i < 60 && !name.test(await focusedName(page)); i++) await page.keyboard.press('Tab');
  expect(await focusedName(page)).toMatch(name);
  await page.keyboard.press('Enter');
}

it('saves, renames and deletes a rig card by keyboard, asks before it deletes, and keeps what is in force', async () => {
  const { page, faults } = await openPage(browser, made.server.address, { reducedMotion: 'reduce' });
  await openFolder(page, made.gap);
  await verdictOf(page).waitFor();
  // Nothing was entered, and nothing is saved.
  await page.getByRole('button', { name: 'Save this card…' }).click();
  await page.getByRole('dialog', { name: 'Save this rig card' }).getByText(/There is nothing to save yet: enter what you know/).waitFor();
  expect(await page.getByRole('dialog').getByRole('textbox').count()).toBe(0);
  expect(await violationsInSchemes(page)).toEqual([]);
  await page.keyboard.press('Escape');

  for (const name of ['Bench, 5×', 'Spare <i>"2"</i>']) {
    await page.getByLabel(/Marked aperture/).fill(name.startsWith('Spare') ? '4' : '5.6');
    await page.getByLabel(/Marked aperture/).focus();
    await pressOn(page, /^Save this card…$/);
    const asked = page.getByRole('dialog', { name: 'Save this rig card' });
    await asked.waitFor();
    expect(await violationsInSchemes(page)).toEqual([]);
    // The name is asked for first: it can be typed at once.
    expect(await page.evaluate('document.activeElement.tagName')).toBe('INPUT');
    await page.keyboard.press('ControlOrMeta+a');
    await page.keyboard.type(name);
    await page.keyboard.press('Enter');
    await page.getByRole('heading', { name: `Rig card: ${name}` }).waitFor();
  }

  // A name that is taken says so before it replaces anything.
  await page.getByRole('button', { name: 'Save this card…' }).click();
  const again = page.getByRole('dialog', { name: 'Save this rig card' });
  // A name of spaces is none: the browser says what is asked for, and nothing is saved.
  await again.getByLabel('Name').fill('   ');
  await again.getByRole('button', { name: 'Save' }).click();
  expect(await again.getByLabel('Name').evaluate((field) => [field.matches(':invalid'), (field as unknown as { validationMessage: string }).validationMessage !== ''])).toEqual([true, true]);
  await again.getByLabel('Name').fill('Bench, 5×');
  await again.getByText('There is a card of this name already. Saving replaces its values.').waitFor();
  await page.keyboard.press('Escape');
  expect((await made.backend.call('rig-cards', null)).map((card) => card.values.fNumber)).toEqual([5.6, 4]);

  await page.getByRole('button', { name: 'Save this card…' }).focus();
  await pressOn(page, /^Saved cards…$/);
  const list = page.getByRole('dialog', { name: 'Saved rig cards' });
  await list.waitFor();
  expect(await list.getByRole('listitem').allTextContents()).toEqual([expect.stringContaining('Bench, 5×f/5.6'), expect.stringMatching(/^Spare <i>"2"<\/i> \(in use\)f\/4/)]);
  expect(await violationsInSchemes(page)).toEqual([]);

  await pressOn(page, /^Rename Spare/);
  expect(await page.evaluate('document.activeElement.tagName')).toBe('INPUT');
  await page.keyboard.type('Bench, 5×');
  await page.keyboard.press('Enter');
  await expect.poll(() => list.getByRole('alert').textContent()).toContain('There is a rig card called Bench, 5× already.');
  await page.keyboard.press('ControlOrMeta+a');
  await page.keyboard.type('Shed');
  await page.keyboard.press('Enter');
  await expect.poll(() => list.getByRole('listitem').last().textContent()).toMatch(/^Shed \(in use\)/);
  expect(await list.getByRole('alert').count()).toBe(0);

  await pressOn(page, /^Delete Shed$/);
  const question = page.getByRole('alertdialog', { name: 'Delete “Shed”?' });
  await question.waitFor();
  expect(await violationsInSchemes(page)).toEqual([]);
  // Enter on what has the focus keeps the card: nothing is lost by a key pressed twice.
  await page.keyboard.press('Enter');
  await expect.poll(() => question.count()).toBe(0);
  expect(await list.getByRole('listitem').count()).toBe(2);
  await pressOn(page, /^Delete Shed$/);
  await question.waitFor();
  await pressOn(page, /^Delete$/);
  await expect.poll(() => list.getByRole('listitem').count()).toBe(1);
  expect((await made.backend.call('rig-cards', null)).map((card) => card.name)).toEqual(['Bench, 5×']);
  // The button that was pressed is gone with its card: the focus goes back into the list by itself.
  await expect.poll(() => page.evaluate("document.activeElement.closest('[role=dialog]') !== null")).toBe(true);
  await page.keyboard.press('Escape');
  await expect.poll(() => page.getByRole('dialog').count()).toBe(0);
  // f/4 came from the deleted card and is still what the stack is judged by.
  expect(await page.getByLabel(/Marked aperture/).inputValue()).toBe('4');
  expect(await page.getByRole('heading', { name: 'Rig card', exact: true }).count()).toBe(1);
  expect(faults).toEqual([]);
  await page.close();
});
