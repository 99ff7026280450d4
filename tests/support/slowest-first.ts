import { BaseSequencer, type TestSpecification } from 'vitest/node';

/** Files of ten seconds and more, the slowest first: see docs/test-times.md. */
export const slowFiles: readonly string[] = [
  'tests/browser/help.test.ts',
  'tests/e2e/many-lines.test.ts',
  'tests/browser/every-screen.test.ts',
  'tests/e2e/audit.test.ts',
  'tests/invented/year-of-lines.test.ts',
  'tests/export/a-year.test.ts',
  'tests/process/export-restore.test.ts',
  'tests/browser/attach-strip.test.ts',
  'tests/redis/fail-over.test.ts',
  'tests/e2e/redis-away.test.ts',
  'tests/practice/page.test.ts',
  'tests/process/kill-and-start-again.test.ts',
  'tests/e2e/examples-work.test.ts',
  'tests/browser/placing.test.ts',
  'tests/process/audit.test.ts',
  'tests/e2e/assignment.test.ts',
  'tests/e2e/bad-input.test.ts',
  'tests/domain/ladder/ladder.property.test.ts',
  'tests/simulate/simulate.test.ts',
  'tests/quiet/goals.test.ts',
  'tests/domain/strip/strip-findings.test.ts',
  'tests/e2e/http-journey.test.ts',
  'tests/e2e/socket-journey.test.ts',
  'tests/browser/by-thumb.test.ts',
  'tests/process/demo.test.ts',
  'tests/browser/audit.test.ts',
  'tests/browser/scenes.test.ts',
  'tests/domain/shifts/shift-calendar-reference.test.ts',
  'tests/audit/worker-audits.test.ts',
  'tests/process/split-roles.test.ts',
  'tests/redis/embedded-redis.test.ts',
  'tests/process/erase.test.ts',
  'tests/jobs/worker.test.ts',
  'tests/domain/audit/recount.property.test.ts',
  'tests/e2e/platform-away.test.ts',
  'tests/e2e/teach.test.ts',
  'tests/e2e/after-removal.test.ts',
  'tests/e2e/placing.test.ts',
  'tests/process/strip.test.ts',
  'tests/domain/rounds/fewest-visits.property.test.ts',
];

const rank = new Map(slowFiles.map((file, index) => [file, index]));

/**
 * Begins with the files that take longest, so that no worker is left with one when the others are done. Vitest orders the rest by
 * what it remembers of the last run or, in a bare clone, by their size.
 */
export class SlowestFirst extends BaseSequencer {
  override async sort(files: TestSpecification[]): Promise<TestSpecification[]> {
    const rankOf = ({ moduleId }: TestSpecification) =>
      rank.get(moduleId.slice(this.ctx.config.root.length + 1)) ?? slowFiles.length;
    return (await super.sort(files)).toSorted((a, b) => rankOf(a) - rankOf(b));
  }
}
