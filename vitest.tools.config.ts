import { defineConfig } from 'vitest/config';

// Long-running programs that need the TypeScript sources (rendering samples, measuring accuracy), run on demand.
export default defineConfig({
  test: {
    include: ['tests/tools/*.ts'],
    env: { RUNGWISE_CACHE: 'off' },
    testTimeout: 3_600_000,
    hookTimeout: 3_600_000,
    disableConsoleIntercept: true,
  },
});
