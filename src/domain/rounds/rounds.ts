import type { Duty } from '../duties/duty.ts';
import { usualDraft } from '../duties/usual-draft.ts';
import type { DutyKind } from '../duty-kind.ts';
import { foldNext } from '../fold/fold-line.ts';
import { stillNeededHours } from '../policy/care-intervals.ts';
import type { WardPolicy } from '../policy/ward-policy.ts';
import type { EntryDraft } from '../record/entry.ts';
import type { LineState } from '../record/line-state.ts';
import { nextShiftStart } from '../shifts/shift-calendar.ts';
import { hourMs } from '../time.ts';

/** One visit that clears several duties. `at`: when to walk, ms since the epoch. */
export interface Round {
  at: number;
  duties: Duty[];
}

/** Duties asked for once in a forecast: what follows depends on a person's answer. */
export function repeats(kind: DutyKind): boolean {
  return usualDraft(kind) !== null || kind === 'stillNeeded';
}

/** The line after a duty was done at `at` (ms) and recorded as usual; as it was where only a person can say what was done. */
export function imagined(line: LineState, policy: WardPolicy, { kind, dueAt }: Duty, at: number): LineState {
  const draft: EntryDraft | null =
    kind === 'stillNeeded'
      ? {
          kind: 'waived',
          body: {
            duty: kind,
            dueAt,
            reason: 'forecast',
            until: at + stillNeededHours(line, policy) * hourMs,
          },
        }
      : usualDraft(kind);
  if (draft === null) return line;
  const time = Math.max(at, line.latestAt);
  return foldNext(line, { ...draft, at: time, told: time, by: 'bot', via: 'bot' }, () => []);
}

/** When the shift that a handover at `now` speaks to is over: the one coming if it starts within `soonMs`, else this one. */
export function horizonOf(policy: WardPolicy, now: number, soonMs: number): { fromMs: number; toMs: number } {
  const coming = nextShiftStart(policy.shifts, now);
  if (coming - now <= soonMs) return { fromMs: now, toMs: nextShiftStart(policy.shifts, coming) };
  return { fromMs: now, toMs: coming };
}
