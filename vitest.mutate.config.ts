import { defineConfig } from 'vitest/config';

/** The core's own tests for `npm run mutate`: the same cases each time, and none that start a server or take minutes. */
export default defineConfig({
  test: {
    include: ['tests/domain/**/*.test.ts'],
    exclude: ['tests/domain/{strip,statistics,audit,shifts}/**'],
    // Each fault is tried by a worker of its own: within it files share their modules, or loading them takes most of the time.
    isolate: false,
    provide: { propertySeed: 20_261_128, propertyTimes: 1 },
    testTimeout: 60_000,
  },
});
