import type { LoggedLine } from '../../../src/domain/audit/line-course.ts';
import { defaultPolicy } from '../../../src/domain/policy/ward-policy.ts';
import type { RemovalReason } from '../../../src/domain/record/removal-reasons.ts';
import { LineLog, type PlacedChanges, wardZone } from '../../support/line-builder.ts';

/** The policy of every invented ward here, the same all the time. */
export const policy = defaultPolicy(wardZone);
export const policyAt = () => policy;

/** A line that was placed and came out for a reason after so many ms; what else was told, `between` adds. */
export function lineOut(
  placedAt: number,
  dwellMs: number,
  reason: RemovalReason,
  changes: PlacedChanges = {},
  between: (log: LineLog) => void = () => {},
): LineLog {
  const log = new LineLog(placedAt, changes);
  between(log);
  return log.add('removed', placedAt + dwellMs, { reason });
}

/** Logs as the audit takes them, each with an id of its own. */
export function logged(logs: readonly LineLog[]): LoggedLine[] {
  return logs.map(({ entries }, index) => ({ id: `line-${index + 1}`, log: entries }));
}

/** A share as it is printed: percent to so many places. */
export function percent({ share }: { share: number | null }, places = 1): string {
  return share === null ? 'none' : (100 * share).toFixed(places);
}
