import { isDeepStrictEqual } from 'node:util';
import type { WardCopy } from '../app/ward-copy.ts';
import { dutiesOfLine } from '../domain/duties/duties-of-line.ts';
import type { Duty } from '../domain/duties/duty.ts';
import { foldLine } from '../domain/fold/fold-line.ts';
import type { WardPolicy } from '../domain/policy/ward-policy.ts';
import type { LineState } from '../domain/record/line-state.ts';
import { foldWard, type WardState } from '../domain/ward/ward-state.ts';
import { lostValue } from './lost-value.ts';
import { recordFile } from './record-lines.ts';
import { type Restored, restoreRecord } from './restore-record.ts';

/**
 * What a file's record comes to, or why it cannot be trusted to come back. `earlier`: lines an earlier version wrote, which
 * lack values that came later or have them in another order.
 */
export type RoundTrip =
  | { is: 'same'; copy: WardCopy; exportedAt: number; duties: number; earlier: number }
  | { is: 'different'; what: string }
  | Extract<Restored, { is: 'refused' }>;

/**
 * Proves a file of `recordLines` without a store: it is read, written again and read again. The second file must be
 * the first byte for byte, but for what an earlier version did not know and now has its default; the third must be the
 * second to the byte; and both readings must fold to the same states and owe the same duties at the instant of the export.
 */
export function roundTrip(file: string, policyIfNone: WardPolicy): RoundTrip {
  const harm = harmOnTheWay(file);
  if (harm !== null) return { is: 'different', what: harm };
  const first = restoreRecord(file.split('\n'));
  if (first.is === 'refused') return first;
  const again = recordFile(first.copy, first.exportedAt);
  const compared = compare(file, again);
  if (typeof compared === 'string') return { is: 'different', what: compared };
  const second = restoreRecord(again.split('\n'));
  if (second.is === 'refused') return second;
  if (recordFile(second.copy, second.exportedAt) !== again)
    return { is: 'different', what: 'written a third time it is not what it was the second time' };
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
  return { is: 'same', copy: first.copy, exportedAt: first.exportedAt, duties, ...compared };
}

interface Derived {
  ward: WardState;
  lines: { state: LineState; duties: readonly Duty[] }[];
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

/** What mail and editors do to a text file on its way, with what undoes it; null where nothing of it was done. */
function harmOnTheWay(file: string): string | null {
  if (file.startsWith('\uFEFF'))
    return "it begins with a byte order mark, which no export has: use the file as it was exported, or take the mark out (sed -i '1s/^\\xEF\\xBB\\xBF//' FILE)";
  if (file.includes('\r\n'))
    return "its line ends are CRLF, and an export's are not: use the file as it was exported, or change them back (sed -i 's/\\r$//' FILE)";
  return null;
}

/** How many lines an earlier version wrote; in words, what is not the same. */
function compare(file: string, again: string): { earlier: number } | string {
  if (file === again) return { earlier: 0 };
  if (`${file}\n` === again) return 'its last line end is missing: it may be cut off; use a whole copy';
  const [lines, others] = [file.split('\n'), again.split('\n')];
  let earlier = 0;
  for (let at = 0; at < Math.max(lines.length, others.length); at++) {
    const [line, other] = [lines[at], others[at]];
    if (line === other) continue;
    if (line === '' && other === undefined) return 'it has blank lines at its end: take them out';
    if (line === undefined || other === undefined || !isEarlier(line, other))
      return `written again, line ${at + 1} is not the same`;
    earlier += 1;
  }
  return { earlier };
}

/** Whether a line is as an export writes one and all that it holds stands in `again`. */
function isEarlier(line: string, again: string): boolean {
  if (line === '' || again === '') return false;
  const value: unknown = JSON.parse(line);
  return JSON.stringify(value) === line && lostValue(value, JSON.parse(again)) === null;
}
