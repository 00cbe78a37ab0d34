import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    // No test may leave anything in the user's own folders, nor find what an earlier run left; those about the cache name a place of their own.
    env: { RUNGWISE_CACHE: 'off' },
    include: ['tests/**/*.test.ts', 'tests/**/*.test.tsx'],
    // Against hanging only: rendering a stack takes minutes where a machine is busy with other work.
    testTimeout: 300_000,
    hookTimeout: 300_000,
    // What a test waits for comes late where a machine is busy; how quick things are is asserted where it matters.
    expect: { poll: { timeout: 15_000 } },
    maxWorkers: 2,
  },
});
