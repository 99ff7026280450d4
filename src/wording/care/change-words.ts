import type { DutyChanges } from '../../domain/duties/duty-changes.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { rich } from '../rich-text.ts';
import { dutyName, listed } from './duty-words.ts';

/** Which duties something recorded cleared, ended and brought, a sentence each; one that says so when it changed none. */
export function changeWords({
  line,
  changes: { done, gone, brought },
  clock,
}: {
  line: LineState;
  changes: DutyChanges;
  clock: (atMs: number) => string;
}): string[] {
  const lines = [
    ...(done.length > 0
      ? [
          rich`*Counts as done:* ${listed(done.map(({ kind, nextAt }) => `${dutyName(kind, line)} (next ${clock(nextAt)})`))}.`,
        ]
      : []),
    ...(gone.length > 0 ? [rich`*No longer due:* ${listed(gone.map((kind) => dutyName(kind, line)))}.`] : []),
    ...(brought.length > 0
      ? [
          rich`*Becomes due:* ${listed(brought.map(({ kind, dueAt }) => `${dutyName(kind, line)} ${clock(dueAt)}`))}.`,
        ]
      : []),
  ];
  return lines.length > 0 ? lines : ['It clears no duty and brings none.'];
}
