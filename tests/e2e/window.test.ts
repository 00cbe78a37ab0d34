import { spawn, type ChildProcess } from 'node:child_process';
import { mkdtemp, readFile, rm } from 'node:fs/promises';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { chromium, type Browser, type Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { CHROMIUM_SWITCHES, findChromium } from '../helpers/find-chromium.js';
import { fixtureWindow } from '../helpers/window-fixtures/fixture-window.js';

const axeFile = createRequire(import.meta.url).resolve('axe-core/axe.min.js');

let browser: Browser;
beforeAll(async () => { browser = await chromium.launch({ executablePath: findChromium(), args: CHROMIUM_SWITCHES }); });
afterAll(async () => { await browser.close(); });

/** A page that remembers every console error and every request to another host. */
async function openPage(address: string): Promise<{ page: Page; faults: string[] }> {
  const page = await browser.newPage({ viewport: { width: 1440, height: 900 } });
  const faults: string[] = [];
  page.on('console', (message) => { if (message.type() === 'error') faults.push(message.text()); });
  page.on('pageerror', (error) => faults.push(error.message));
  page.on('request', (request) => { if (!/^(http:\/\/127\.0\.0\.1:|blob:)/.test(request.url())) faults.push(`asked another host: ${request.url()}`); });
  await page.goto(address);
  return { page, faults };
}

async function violations(page: Page): Promise<string[]> {
  // Evaluated, not added as a script: the security policy of the page stays as it is.
  await page.evaluate(await readFile(axeFile, 'utf8'));
  const run = "axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'] })";
  const found = await page.evaluate(run) as { violations: { id: string; nodes: { html: string }[] }[] };
  return found.violations.map((v) => `${v.id}: ${v.nodes[0].html.slice(0, 160)}`);
}

const verdictOf = (page: Page) => page.getByRole('status', { name: 'Verdict' });

describe('the window on the sample stack, with the real engine in a real process', () => {
  let program: ChildProcess, address = '', settings = '';
  beforeAll(async () => {
    settings = await mkdtemp(path.join(tmpdir(), 'rungwise-settings-'));
    program = spawn(process.execPath, ['bin/rungwise.js', 'serve', 'sample-frames/quartz-druse', '--rig', 'sample-frames/quartz-druse.rig.json'], { env: { ...process.env, RUNGWISE_SETTINGS: settings } });
    address = await new Promise<string>((resolve, reject) => {
      let said = '';
      program.stdout!.on('data', (part: Buffer) => { said += part.toString(); const found = /http:\/\/127\.0\.0\.1:\d+\/\?token=\S+/.exec(said); if (found) resolve(found[0]); });
      program.stderr!.on('data', (part: Buffer) => reject(new Error(part.toString())));
    });
  });
  afterAll(async () => { program.kill('SIGINT'); await rm(settings, { recursive: true, force: true }); });

  it('says what is missing, marks it, draws a curve and judges anew by mouse and by keyboard', async () => {
    const { page, faults } = await openPage(address);
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

  it('has no accessibility violation on any screen and scheme, and nothing asks another host', async () => {
    const { page, faults } = await openPage(made.server.address);
    await page.getByRole('heading', { name: 'Is every depth sharp?' }).waitFor();
    const found: string[] = [];
    const look = async (what: string): Promise<void> => { for (const each of await violations(page)) found.push(`${what}: ${each}`); };
    for (const scheme of ['light', 'dark', 'bench']) {
      await page.locator('.scheme select').selectOption(scheme);
      await look(`start, ${scheme}`);
    }
    for (const folder of [made.gap, made.undecided]) {
      await page.getByRole('button', { name: 'Open…' }).click();
      await page.getByLabel('Folder').fill(folder);
      await look('open dialog');
      await page.getByRole('button', { name: 'Open this stack' }).click();
      await verdictOf(page).waitFor();
      for (const scheme of ['light', 'dark', 'bench']) {
        await page.locator('.scheme select').selectOption(scheme);
        await look(`stack, ${scheme}`);
        await page.getByRole('tab', { name: 'Frames' }).click();
        await look(`frames, ${scheme}`);
        await page.getByRole('tab', { name: 'Steps' }).click();
      }
    }
    for (const name of ['Plan', 'Watch']) for (const scheme of ['light', 'dark', 'bench']) {
      await page.getByRole('navigation').getByRole('button', { name }).click();
      await page.locator('.scheme select').selectOption(scheme);
      await look(`${name}, ${scheme}`);
    }
    expect([...new Set(found)]).toEqual([]);
    expect(faults).toEqual([]);
    await page.close();
  });

  it('says in words that a folder is broken, and shows hostile names as text', async () => {
    const { page, faults } = await openPage(made.server.address);
    await page.getByRole('button', { name: 'Open…' }).click();
    await page.getByLabel('Folder').fill(path.join(made.home, 'gone'));
    await page.getByRole('button', { name: 'Open this stack' }).click();
    await expect.poll(() => page.getByRole('alert').textContent()).toContain('gone is not there.');
    await page.getByRole('button', { name: 'Open another folder' }).click();
    await page.getByLabel('Folder').fill(made.gap);
    await page.getByRole('button', { name: 'Open this stack' }).click();
    await verdictOf(page).waitFor();
    expect(await page.locator('.top-bar .folder').textContent()).toBe('fluorite <b>"gap" Ärger 水晶');
    // A refused question is answered with a status the browser prints by itself; nothing else may be in the console.
    expect(faults.filter((fault) => !/status of 422/.test(fault))).toEqual([]);
    await page.close();
  });

  it('stops a running analysis at once', async () => {
    const slow = await fixtureWindow(400);
    try {
      const { page } = await openPage(slow.server.address);
      await page.getByRole('button', { name: 'Open…' }).click();
      await page.getByLabel('Folder').fill(slow.gap);
      await page.getByRole('button', { name: 'Open this stack' }).click();
      await page.getByText(/of 12 frames read/).waitFor();
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
