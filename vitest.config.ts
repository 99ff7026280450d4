import { existsSync, statfsSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { defineConfig } from 'vitest/config';
import { ClosingLineReporter } from './tests/support/closing-line-reporter.ts';
import { SlowestFirst } from './tests/support/slowest-first.ts';

// Properties draw new cases each time. On CI they draw the same, so that its verdict is about the change and not about luck.
// PROPERTY_TIMES=20 tries each with twenty times the cases; PROPERTY_SEED repeats what a failure printed.
const { CI, PROPERTY_SEED, PROPERTY_TIMES } = process.env;
const propertyTimes = Number(PROPERTY_TIMES ?? 1);
const propertySeed =
  PROPERTY_SEED === undefined ? (CI === 'true' ? 20_261_128 : null) : Number(PROPERTY_SEED);
if (!Number.isInteger(propertyTimes) || propertyTimes < 1)
  throw new RangeError(`PROPERTY_TIMES is "${PROPERTY_TIMES}": give a whole number from 1 on, as in 20.`);
if (propertySeed !== null && !Number.isInteger(propertySeed))
  throw new RangeError(`PROPERTY_SEED is "${PROPERTY_SEED}": give a whole number, as a failure prints it.`);

/** Where tests write: in memory, where the machine has a gigabyte for it. A Redis that keeps all waits 5 ms for a disk at each write. */
function temporaryFolder(): string {
  const inMemory = '/dev/shm';
  if (process.env.TMPDIR !== undefined || !existsSync(inMemory)) return tmpdir();
  const { bavail, bsize } = statfsSync(inMemory);
  return bavail * bsize > 2 ** 30 ? inMemory : tmpdir();
}

export default defineConfig({
  test: {
    env: { TMPDIR: temporaryFolder() },
    include: ['tests/**/*.test.ts'],
    // A worker keeps its modules from file to file: loading the bot anew for each took a third of the time.
    isolate: false,
    pool: 'forks',
    // One more than the processors of the smallest machine it is for: much of what is tested waits.
    maxWorkers: 3,
    globalSetup: ['tests/support/shared-servers.ts'],
    sequence: { sequencer: SlowestFirst },
    testTimeout: 30_000 * propertyTimes,
    hookTimeout: 60_000,
    provide: { propertySeed, propertyTimes },
    reporters: ['default', new ClosingLineReporter()],
  },
});
