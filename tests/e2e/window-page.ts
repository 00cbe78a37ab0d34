import { readFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import { chromium, type Browser, type BrowserContextOptions, type Page } from 'playwright-core';
import { CHROMIUM_SWITCHES, findChromium } from '../helpers/find-chromium.js';

const axeFile = createRequire(import.meta.url).resolve('axe-core/axe.min.js');

export const launchBrowser = (): Promise<Browser> => chromium.launch({ executablePath: findChromium(), args: CHROMIUM_SWITCHES });

/** A page that remembers every console error and every request to another host. A refused question (422) is printed by the browser itself and is no fault. */
export async function openPage(browser: Browser, address: string, options: BrowserContextOptions = {}): Promise<{ page: Page; faults: string[] }> {
  const page = await browser.newPage({ viewport: { width: 1440, height: 900 }, ...options });
  const faults: string[] = [];
  page.on('console', (message) => { if (message.type() === 'error' && !/status of 422/.test(message.text())) faults.push(message.text()); });
  page.on('pageerror', (error) => faults.push(error.message));
  page.on('request', (request) => { if (!/^(http:\/\/127\.0\.0\.1:|blob:)/.test(request.url())) faults.push(`asked another host: ${request.url()}`); });
  await page.goto(address);
  return { page, faults };
}

/** What axe-core finds against WCAG 2.2 AA. */
export async function violations(page: Page): Promise<string[]> {
  // Evaluated, not added as a script: the security policy of the page stays as it is.
  await page.evaluate(await readFile(axeFile, 'utf8'));
  const run = "axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'] })";
  const found = await page.evaluate(run) as { violations: { id: string; nodes: { html: string }[] }[] };
  return found.violations.map((v) => `${v.id}: ${v.nodes[0].html.slice(0, 160)}`);
}

/** The same in each scheme; the page should ask for no motion, so that no colour is caught half-way from one scheme to the next. */
export async function violationsInSchemes(page: Page): Promise<string[]> {
  const found: string[] = [], shown = await page.evaluate('document.documentElement.dataset.scheme') as string;
  for (const scheme of ['light', 'dark', 'bench']) {
    // Behind a dialog nothing can be reached, the choice of a scheme neither.
    if (await page.getByRole('dialog').count() > 0 || await page.getByRole('alertdialog').count() > 0) await page.evaluate(`document.documentElement.dataset.scheme = '${scheme}'`);
    else await page.locator('.scheme select').selectOption(scheme);
    for (const each of await violations(page)) found.push(`${scheme}: ${each}`);
  }
  await page.evaluate(`document.documentElement.dataset.scheme = '${shown}'`);
  return found;
}

/** SVG texts that leave their drawing. */
export const cutTexts = (page: Page): Promise<string[]> => page.evaluate(`[...document.querySelectorAll('svg text')].filter((text) => {
  const drawing = text.closest('svg').getBoundingClientRect(), box = text.getBoundingClientRect();
  return box.width > 0 && (box.left < drawing.left - 1 || box.right > drawing.right + 1);
}).map((text) => text.textContent)`);

/** Does the page itself scroll sideways, which no screen should? */
export const scrollsSideways = (page: Page): Promise<boolean> => page.evaluate('document.documentElement.scrollWidth > innerWidth');

export const verdictOf = (page: Page) => page.getByRole('status', { name: 'Verdict' });

export async function openFolder(page: Page, folder: string): Promise<void> {
  await page.getByRole('button', { name: 'Open…' }).click();
  await page.getByLabel('Folder').fill(folder);
  await page.getByRole('button', { name: 'Open this stack' }).click();
}

export const goTo = (page: Page, screen: string): Promise<void> => page.getByRole('navigation').getByRole('button', { name: screen }).click();
