import type { DutyOutcome, TimedDutyKind } from './duty-outcomes.ts';
import { isWithin, type Period } from './line-course.ts';
import { type Share, shareOf } from './share.ts';
import { type Spread, spreadOf } from './spread.ts';

/** How the duties of one kind were kept. */
export interface CareOnTime {
  /** Done on time, of all that were asked for and not let go. */
  onTime: Share;
  late: number;
  notDone: number;
  letGo: number;
  /** How late those done late were, ms after they were due. */
  lateByMs: Spread;
}

/** Care on time by duty, of the duties that fell due within the period; kinds that none fell due of are absent. */
export function careOnTime(
  all: readonly DutyOutcome[],
  period: Period,
): Partial<Record<TimedDutyKind, CareOnTime>> {
  const byKind = Map.groupBy(
    all.filter(({ dueAt }) => isWithin(dueAt, period)),
    ({ kind }) => kind,
  );
  return Object.fromEntries(
    [...byKind].map(([kind, outcomes]) => {
      const counts: Record<DutyOutcome['ended'], number> = {
        'on time': 0,
        late: 0,
        'not done': 0,
        'let go': 0,
      };
      for (const { ended } of outcomes) counts[ended] += 1;
      const care: CareOnTime = {
        onTime: shareOf(counts['on time'], outcomes.length - counts['let go']),
        late: counts.late,
        notDone: counts['not done'],
        letGo: counts['let go'],
        lateByMs: spreadOf(
          outcomes.flatMap(({ ended, lateByMs }) =>
            ended === 'late' && lateByMs !== null ? [lateByMs] : [],
          ),
        ),
      };
      return [kind, care];
    }),
  );
}
