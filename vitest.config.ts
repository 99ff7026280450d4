import { defineConfig } from 'vitest/config';
import { ClosingLineReporter } from './tests/support/closing-line-reporter.ts';

export default defineConfig({
  test: {
    include: ['tests/**/*.test.ts'],
    pool: 'forks',
    maxWorkers: 2,
    testTimeout: 30_000,
    hookTimeout: 60_000,
    reporters: ['default', new ClosingLineReporter()],
  },
});
