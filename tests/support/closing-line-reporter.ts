import { writeSync } from 'node:fs';
import type { Reporter, SerializedError, TestModule } from 'vitest/node';

/** How a run ended, in tests. */
export interface RunCount {
  passed: number;
  failed: number;
  skipped: number;
}

/** The one line that says how a run ended, for people and for programs: "12 passed, 0 failed, 1 skipped". */
export function closingLine({ passed, failed, skipped }: RunCount): string {
  const line = `${passed} passed, ${failed} failed`;
  return skipped === 0 ? line : `${line}, ${skipped} skipped`;
}

/** A test file that could not even be loaded, and an error that no test caught, count as one failure each. */
export function countRun(modules: readonly TestModule[], unhandled: readonly SerializedError[]): RunCount {
  const count: RunCount = { passed: 0, failed: unhandled.length, skipped: 0 };
  for (const module of modules) {
    let failedHere = 0;
    for (const test of module.children.allTests()) {
      const { state } = test.result();
      if (state === 'passed') count.passed += 1;
      else if (state === 'failed') failedHere += 1;
      else count.skipped += 1;
    }
    if (failedHere === 0 && module.state() === 'failed') failedHere = 1;
    count.failed += failedHere;
  }
  return count;
}

/** Prints the closing line after everything else, alone on its line. */
export class ClosingLineReporter implements Reporter {
  onTestRunEnd(modules: readonly TestModule[], unhandled: readonly SerializedError[]): void {
    const line = closingLine(countRun(modules, unhandled));
    process.once('exit', () => writeSync(1, `\n${line}\n`));
  }
}
