/**
 * What each npm script needs on the machine, and what it then runs on Node 24.
 * `runsOn`: it runs for weeks, so it's kept small; or it measures what does.
 * `program` holds the words after the Node binary; words given on the command line are appended.
 * @typedef {{
 *   needs: { redis: boolean, chromium: boolean, development: boolean },
 *   program: readonly string[],
 *   stopsWithParent: boolean,
 *   runsOn?: true,
 * }} Command
 */

const vitest = 'node_modules/vitest/vitest.mjs';

/** @type {Readonly<Record<string, Command>>} */
export const commands = {
  start: {
    needs: { redis: true, chromium: false, development: false },
    program: ['src/programs/bot/main.ts'],
    stopsWithParent: true,
    runsOn: true,
  },
  jobs: {
    needs: { redis: true, chromium: false, development: false },
    program: ['src/programs/jobs/main.ts'],
    stopsWithParent: true,
    runsOn: true,
  },
  demo: {
    needs: { redis: true, chromium: false, development: false },
    program: ['src/programs/demo/main.ts'],
    stopsWithParent: true,
  },
  strip: {
    needs: { redis: false, chromium: false, development: false },
    program: ['src/programs/strip/main.ts'],
    stopsWithParent: false,
  },
  'strip:accuracy': {
    needs: { redis: false, chromium: false, development: true },
    program: ['tests/bench/strip/main.ts'],
    stopsWithParent: false,
  },
  quiet: {
    needs: { redis: false, chromium: false, development: true },
    program: ['tests/quiet/main.ts'],
    stopsWithParent: false,
  },
  simulate: {
    needs: { redis: false, chromium: false, development: true },
    program: ['tests/simulate/main.ts'],
    stopsWithParent: false,
  },
  export: {
    needs: { redis: true, chromium: false, development: false },
    program: ['src/programs/export/main.ts'],
    stopsWithParent: true,
  },
  audit: {
    needs: { redis: true, chromium: false, development: false },
    program: ['src/programs/audit/main.ts'],
    stopsWithParent: true,
  },
  restore: {
    needs: { redis: true, chromium: false, development: false },
    program: ['src/programs/restore/main.ts'],
    stopsWithParent: true,
  },
  erase: {
    needs: { redis: true, chromium: false, development: false },
    program: ['src/programs/erase/main.ts'],
    stopsWithParent: true,
  },
  bench: {
    needs: { redis: true, chromium: false, development: true },
    program: ['tests/bench/main.ts'],
    stopsWithParent: true,
    runsOn: true,
  },
  test: {
    needs: { redis: true, chromium: true, development: true },
    program: [vitest, 'run'],
    stopsWithParent: false,
  },
  // Tries the tests of the core: how many of the faults put into its code do they see? An hour and more for all of it.
  mutate: {
    needs: { redis: false, chromium: false, development: true },
    program: ['node_modules/@stryker-mutator/core/bin/stryker.js', 'run'],
    stopsWithParent: false,
  },
  check: {
    needs: { redis: false, chromium: false, development: true },
    program: ['src/bootstrap/check-tree.mjs'],
    stopsWithParent: false,
  },
  fmt: {
    needs: { redis: false, chromium: false, development: true },
    program: ['node_modules/@biomejs/biome/bin/biome', 'check', '--write'],
    stopsWithParent: false,
  },
};
