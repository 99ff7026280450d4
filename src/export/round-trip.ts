import { isDeepStrictEqual } from 'node:util';
import type { WardCopy } from '../app/ward-copy.ts';
import { dutiesOfLine } from '../domain/duties/duties-of-line.ts';
import type { Duty } from '../domain/duties/duty.ts';
import type { WardPolicy } from '../domain/policy/ward-policy.ts';
import { foldLine } from '../domain/record/fold-line.ts';
import type { LineState } from '../domain/record/line-state.ts';
import { foldWard, type WardState } from '../domain/ward/ward-state.ts';
import { recordFile } from './record-lines.ts';
import { type Restored, restoreRecord } from './restore-record.ts';

/** What a file's record comes to, or why it cannot be trusted to come back. */
export type RoundTrip =
  | { is: 'same'; copy: WardCopy; exportedAt: number; duties: number }
  | { is: 'different'; what: string }
  | Extract<Restored, { is: 'refused' }>;

/**
 * Proves a file of `recordLines` without a store: it is read, written again and read again. The second file must be
 * the first byte for byte, and both readings must fold to the same states and owe the same duties at the instant of the
 * export.
 */
export function roundTrip(file: string, policyIfNone: WardPolicy): RoundTrip {
  const first = restoreRecord(file.split('\n'));
  if (first.is === 'refused') return first;
  const again = recordFile(first.copy, first.exportedAt);
  if (again !== file) return { is: 'different', what: `written again, ${firstDifference(file, again)}` };
  const second = restoreRecord(again.split('\n'));
  if (second.is === 'refused') return second;
  const before = derived(first.copy, policyIfNone, first.exportedAt);
  const after = derived(second.copy, policyIfNone, second.exportedAt);
  if (!isDeepStrictEqual(before.ward, after.ward)) return { is: 'different', what: 'the state of the ward' };
  for (const [index, line] of before.lines.entries()) {
    if (!isDeepStrictEqual(line.state, after.lines[index]?.state))
      return { is: 'different', what: `the state of line ${line.state.id}` };
    if (!isDeepStrictEqual(line.duties, after.lines[index]?.duties))
      return { is: 'different', what: `the duties of line ${line.state.id}` };
  }
  const duties = before.lines.reduce((sum, line) => sum + line.duties.length, 0);
  return { is: 'same', copy: first.copy, exportedAt: first.exportedAt, duties };
}

interface Derived {
  ward: WardState;
  lines: { state: LineState; duties: Duty[] }[];
}

/** What a copy comes to at `now` (ms): the states of ward and lines, and what is owed. */
export function derived(copy: WardCopy, policyIfNone: WardPolicy, now: number): Derived {
  const ward = foldWard(copy.wardId, policyIfNone, copy.wardEntries);
  return {
    ward,
    lines: copy.lines.map(({ id, entries }) => {
      const state = foldLine(id, entries);
      return { state, duties: dutiesOfLine(state, ward.policy, now) };
    }),
  };
}

function firstDifference(one: string, other: string): string {
  const others = other.split('\n');
  const at = one.split('\n').findIndex((line, index) => line !== others[index]);
  return `line ${(at === -1 ? others.length : at) + 1} is not the same`;
}
