import { spawn, type ChildProcess } from 'node:child_process';
import { cp, copyFile, mkdir, mkdtemp, readdir, rename, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import type { Browser } from 'playwright-core';
import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest';
import type { Report } from '../../src/contract/report.js';
import { fixtureWindow } from '../helpers/window-fixtures/fixture-window.js';
import { cutTexts, launchBrowser, openFolder, openPage, scrollsSideways, verdictOf } from './window-page.js';

let browser: Browser;
beforeAll(async () => { browser = await launchBrowser(); });
afterAll(async () => { await browser.close(); });

describe('folders that change while they are open, with the real engine', () => {
  let home = '', stack = '', program: ChildProcess, address = '';
  beforeAll(async () => {
    home = await mkdtemp(path.join(tmpdir(), 'rungwise-changing-'));
    stack = path.join(home, `Quarz "3" & <img src=x onerror=alert(1)> 水晶`);
    await mkdir(stack);
    // Eight frames around the sample's missing depth, under names of every kind. The subject goes on far beyond them: more is missing than was shot.
    const files = (await readdir('sample-frames/quartz-druse')).filter((file) => /\.jpe?g$/i.test(file)).sort().slice(6, 14);
    for (const [i, file] of files.entries()) await copyFile(path.join('sample-frames/quartz-druse', file), path.join(stack, `Aufnahme '${i + 1}' <b>é 鉱.jpg`));
    program = spawn(process.execPath, ['bin/rungwise.js', 'serve', stack, '--rig', 'sample-frames/quartz-druse.rig.json', '--print-verdict'], { env: { ...process.env, RUNGWISE_SETTINGS: path.join(home, 'settings') } });
    let said = '';
    program.stdout!.on('data', (part: Buffer) => { said += part.toString(); });
    await vi.waitFor(() => expect(said).toMatch(/token=\S+/), { timeout: 30_000 });
    address = /http:\/\/127\.0\.0\.1:\d+\/\?token=\S+/.exec(said)![0];
    // The verdict stands in the terminal as well; the window below shares that reading.
    await vi.waitFor(() => expect(said).toMatch(/frames of 1500 × 1000 pixels, checked in/), { timeout: 110_000 });
  });
  afterAll(async () => { program.kill('SIGINT'); await rm(home, { recursive: true, force: true }); });

  it('shares one reading between terminal, window and second window, and writes nothing beside the frames', async () => {
    const before = (await readdir(stack)).sort();
    const first = await openPage(browser, address);
    await first.page.locator('.verdict[data-decision=reshoot]').waitFor();
    const second = await openPage(browser, address);
    await second.page.locator('.verdict[data-decision=reshoot]').waitFor();
    // What is there already comes at once and whole: no frame is read for it.
    await second.page.addInitScript(`globalThis.heard = []; const ask = fetch;
      globalThis.fetch = async (address, how) => { const answer = await ask(address, how); if (address.endsWith('/stream/analyse')) heard.push(answer.clone().text()); return answer; };`);
    await second.page.reload();
    await second.page.locator('.verdict[data-decision=reshoot]').waitFor();
    const said = await second.page.evaluate("Promise.all(heard).then((texts) => texts.join(''))") as string;
    expect(said).toContain('"kind":"report"');
    expect(said).not.toContain('"kind":"progress"');
    expect(await first.page.locator('.top-bar .folder').textContent()).toBe(path.basename(stack));
    // Each window keeps its own set-up.
    await second.page.getByLabel(/Marked aperture/).fill('8');
    await expect.poll(() => verdictOf(second.page).textContent()).toMatch(/20\d\s*µm\s*depth of field/);
    expect(await verdictOf(first.page).textContent()).toMatch(/25\s*µm\s*depth of field/);
    expect((await readdir(stack)).sort()).toEqual(before);
    expect([...first.faults, ...second.faults]).toEqual([]);
    await first.page.close();
    await second.page.close();
  });

  it('names a frame that was deleted or replaced, keeps the verdict, and checks again', async () => {
    const { page, faults } = await openPage(browser, address);
    await page.locator('.verdict[data-decision=reshoot]').waitFor();
    const files = (await readdir(stack)).sort(), gone = files[0], replaced = files[7];
    await rename(path.join(stack, gone), path.join(home, 'kept.jpg'));
    await copyFile(path.join(stack, files[6]), path.join(stack, replaced));
    await page.getByRole('option', { name: /Frame .*1.*/ }).first().click();
    // At 100 % nothing of it has been decoded before.
    await page.locator('.picture .canvas').focus();
    for (const key of ['f', '1']) await page.keyboard.press(key);
    await expect.poll(() => page.locator('.picture').getByRole('alert').textContent()).toBe(`${gone} is not there any more.`);
    expect(await verdictOf(page).getAttribute('data-decision')).toBe('reshoot');
    await page.getByRole('button', { name: /[cC]heck again/ }).click();
    await expect.poll(() => page.locator('.verdict[data-decision] .figures').textContent(), { timeout: 110_000 }).toMatch(/^7frames/);
    // Its two last frames are copies of one another now.
    await page.getByRole('tab', { name: 'Frames' }).click();
    await expect.poll(() => page.getByRole('region', { name: 'Frames' }).textContent()).toContain('repeat');
    await rename(path.join(home, 'kept.jpg'), path.join(stack, gone));
    expect(faults).toEqual([]);
    await page.close();
  });

  it('says in words that the folder is gone, and finds it again when it is back', async () => {
    const { page, faults } = await openPage(browser, address);
    await page.locator('.verdict[data-decision]').waitFor({ timeout: 110_000 });
    const away = `${stack} away`;
    await rename(stack, away);
    await page.getByRole('button', { name: /[cC]heck again/ }).click();
    await expect.poll(() => page.getByRole('alert').textContent()).toContain('There is no folder');
    await cp(away, stack, { recursive: true, preserveTimestamps: true });
    await page.getByRole('button', { name: 'Try again' }).click();
    await page.locator('.verdict[data-decision]').waitFor({ timeout: 110_000 });
    expect(faults).toEqual([]);
    await page.close();
  });

  it('keeps a wrong token out, in words', async () => {
    const page = await browser.newPage();
    await page.goto(address.replace(/token=.*/, 'token=wrong'));
    expect(await page.textContent('body')).toContain('Open the whole address that was printed');
    await page.close();
  });
});

describe('stacks of unusual shape', () => {
  let made: Awaited<ReturnType<typeof fixtureWindow>>;
  /** One small picture under every name: what is tried here is the window, not what it shows. */
  const sameFrame = async (report: Report, folder: string): Promise<void> => {
    await mkdir(folder, { recursive: true });
    const { width, height } = report.stack;
    const jpeg = await sharp({ create: { width, height, channels: 3, background: '#605868', noise: { type: 'gaussian', mean: 110, sigma: 30 } } }).jpeg().toBuffer();
    for (const { file } of report.stack.frames) await writeFile(path.join(folder, file), jpeg);
  };
  const plain = { frames: 8, stepDof: 0.6, longSteps: { 3: 1.8 }, dofUm: 24.84 };
  beforeAll(async () => {
    made = await fixtureWindow(0, [
      { name: '500', stack: { ...plain, frames: 500, longSteps: { 201: 2.2, 340: 1.4 }, flags: { 12: ['blurred'] }, columns: 480, rows: 320 }, write: sameFrame },
      { name: 'wide', stack: { ...plain, columns: 6000, rows: 96 }, write: sameFrame },
      { name: 'tall', stack: { ...plain, columns: 96, rows: 6000 }, write: sameFrame },
      { name: 'three', stack: { ...plain, frames: 3, longSteps: { 0: 1.8 }, columns: 480, rows: 320 }, write: sameFrame },
      { name: 'named', stack: { ...plain, columns: 480, rows: 320, fileName: (i) => `"${i}" <i>鉱物 a very long name from the evening shoot ${i + 1}.jpg` }, write: sameFrame },
      { name: 'large', stack: { ...plain, columns: 6000, rows: 4000 }, write: sameFrame },
    ]);
  });
  afterAll(async () => { await made.close(); });

  it.each(['500', 'wide', 'tall', 'three', 'named'])('%s: everything fits at 1024 × 700 and at 4K, and the verdict stands first', async (name) => {
    for (const viewport of [{ width: 1024, height: 700 }, { width: 3840, height: 2160 }]) {
      const { page, faults } = await openPage(browser, made.server.address, { viewport });
      await openFolder(page, path.join(made.home, name));
      await page.locator('.verdict[data-decision]').waitFor();
      await page.getByRole('region', { name: 'Ladder' }).locator('.rung').first().waitFor();
      expect(await cutTexts(page), `${name} at ${viewport.width}`).toEqual([]);
      expect(await scrollsSideways(page)).toBe(false);
      expect(faults).toEqual([]);
      await page.close();
    }
  });

  it('keeps 500 frames quick: the table draws what is in sight, the ladder zooms to single rungs', async () => {
    const { page, faults } = await openPage(browser, made.server.address);
    await openFolder(page, path.join(made.home, '500'));
    // Five hundred frames are read and solved first, which a busy machine may take half a minute for.
    await page.locator('.verdict[data-decision]').waitFor({ timeout: 90_000 });
    await page.getByRole('tab', { name: 'Frames' }).click();
    expect(await page.locator('.body .frame-row').count()).toBeLessThan(60);
    await page.getByRole('listbox', { name: /Frames and missing bands/ }).focus();
    await page.keyboard.press('g');
    for (let i = 0; i < 12; i++) await page.keyboard.press('+');
    await expect.poll(() => page.locator('.ladder .rung text').count()).toBeGreaterThan(2);
    // Work a key makes, not time: elements put in, taken out or changed. Of five hundred rungs and rows only those in sight may be among them.
    await page.evaluate(`globalThis.touched = 0; new MutationObserver((list) => { for (const m of list) touched += m.type === 'childList' ? m.addedNodes.length + m.removedNodes.length : 1; })
      .observe(document.body, { subtree: true, childList: true, attributes: true, characterData: true });`);
    for (let i = 0; i < 20; i++) await page.keyboard.press('ArrowUp');
    await expect.poll(() => page.url()).toMatch(/frame=2\d\d/);
    // Fewer than there are frames for each key (common practice: work follows what is in sight; no source).
    expect(await page.evaluate('globalThis.touched') as number).toBeLessThan(20 * 500);
    expect(await page.locator('.ladder .rung').count()).toBeLessThan(60);
    expect(faults).toEqual([]);
    await page.close();
  });

  it('draws 24-megapixel frames within a refresh while they are dragged, and fetches only pieces of them', async () => {
    const { page, faults } = await openPage(browser, made.server.address);
    // How long each drawing takes the page's own thread; what the machine's graphics do with it is not ours.
    await page.evaluate(`globalThis.drawn = []; globalThis.ticks = []; const real = requestAnimationFrame.bind(window);
      requestAnimationFrame = (draw) => real((now) => { const began = performance.now(); draw(now); drawn.push(performance.now() - began); });
      const tick = (now) => { ticks.push(now); real(tick); }; real(tick);`);
    const asked: { rows: number; columns: number }[] = [];
    page.on('request', (request) => { if (request.url().endsWith('/bytes/picture')) asked.push(JSON.parse(request.postData() ?? '{}') as { rows: number; columns: number }); });
    await openFolder(page, path.join(made.home, 'large'));
    await page.locator('.verdict[data-decision]').waitFor();
    await page.getByRole('button', { name: '100 %' }).click();
    await expect.poll(() => page.locator('.zoom').textContent()).toBe('100 %');
    await page.evaluate('drawn.length = ticks.length = 0');
    const box = (await page.locator('.picture canvas').boundingBox())!;
    await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
    await page.mouse.down();
    for (let i = 0; i < 60; i++) await page.mouse.move(box.x + box.width / 2 - 5 * i, box.y + box.height / 2 - 2 * i);
    await page.mouse.up();
    for (let i = 0; i < 20; i++) await page.mouse.wheel(0, i < 10 ? 120 : -120);
    const times = (await page.evaluate('drawn') as number[]).sort((a, b) => a - b);
    expect(times.length).toBeGreaterThan(20);
    // 60 a second leave 16.7 ms for each; half of that for the page's thread, in the middle of the run.
    expect(times[Math.floor(times.length / 2)]).toBeLessThan(8);
    // The refreshes themselves, as they came: one each 16.7 ms, in the middle of the run at most every second one left out for a busy machine.
    const ticks = await page.evaluate('ticks') as number[], apart = ticks.slice(1).map((tick, i) => tick - ticks[i]).sort((a, b) => a - b);
    expect(apart.length).toBeGreaterThan(20);
    expect(apart[Math.floor(apart.length / 2)]).toBeLessThan(34);
    for (const { rows, columns } of asked) expect(Math.max(rows, columns)).toBeLessThanOrEqual(512);
    expect(faults).toEqual([]);
    await page.close();
  });

  it('pans with one finger and zooms with two', async () => {
    const { page, faults } = await openPage(browser, made.server.address, { hasTouch: true, reducedMotion: 'reduce' });
    await openFolder(page, path.join(made.home, 'large'));
    await page.locator('.verdict[data-decision]').waitFor();
    const zoom = async (): Promise<number> => Number((await page.locator('.zoom').textContent())!.replace(/\D/g, ''));
    await expect.poll(zoom).toBeGreaterThan(0);
    const before = await zoom(), box = (await page.locator('.picture canvas').boundingBox())!;
    const wire = await page.context().newCDPSession(page);
    const touch = (type: string, apart: number) => wire.send('Input.dispatchTouchEvent', { type: type as 'touchStart', touchPoints: type === 'touchEnd' ? [] : [-apart, apart].map((dx, id) => ({ x: box.x + box.width / 2 + dx, y: box.y + box.height / 2, id })) });
    await touch('touchStart', 40);
    for (let apart = 45; apart <= 120; apart += 5) await touch('touchMove', apart);
    await touch('touchEnd', 0);
    // The fingers ended three times as far apart as they began: so does the picture's scale, give or take the first millimetres.
    await expect.poll(async () => (await zoom()) / before).toBeGreaterThan(2.2);
    expect((await zoom()) / before).toBeLessThan(3.6);
    expect(faults).toEqual([]);
    await page.close();
  });

  it('moves nothing by itself where the system asks for calm', async () => {
    const { page } = await openPage(browser, made.server.address, { reducedMotion: 'reduce' });
    await openFolder(page, path.join(made.home, 'three'));
    await page.locator('.verdict[data-decision]').waitFor();
    const moving = await page.evaluate("[...document.querySelectorAll('*')].filter((e) => { const s = getComputedStyle(e); return s.animationName !== 'none' || parseFloat(s.transitionDuration) > 0; }).length");
    expect(moving).toBe(0);
    await page.close();
  });
});
