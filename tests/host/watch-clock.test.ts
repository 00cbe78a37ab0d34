import { afterEach, expect, it, vi } from 'vitest';
import { watchFolder } from '../../src/io/watch-folder.js';
import { tempFolder } from '../unit/io-helpers/temp-folder.js';

const folder = tempFolder();
afterEach(() => { vi.restoreAllMocks(); });

// A watch looks at the clock every six seconds, and when its time is up: each jump must come before such a look.
it.each([['ahead', 3_600_000, 7_000], ['back', -3_600_000, 2_500]])('a clock set %s by an hour neither ends a watch nor keeps it from ending', async (_, jumpMs, stopAfterQuietMs) => {
  const real = Date.now.bind(Date), began = performance.now();
  const watch = watchFolder(folder, { rig: {}, overlap: 0.3, outputWidthPx: null, stopAfterQuietMs }, () => undefined, new AbortController().signal);
  setTimeout(() => vi.spyOn(Date, 'now').mockImplementation(() => real() + jumpMs), 500);
  expect(await watch).toBeNull();
  const tookMs = performance.now() - began;
  expect(tookMs).toBeGreaterThan(stopAfterQuietMs - 100);
  // With the time a busy machine takes.
  expect(tookMs).toBeLessThan(stopAfterQuietMs + 12_000);
});
