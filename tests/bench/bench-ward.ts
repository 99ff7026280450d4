import type { AppDeps } from '../../src/app/app-deps.ts';
import type { Clock } from '../../src/app/clock.ts';
import type { Alarm, WardRecord, Watch } from '../../src/app/ports.ts';
import { foldLine } from '../../src/domain/fold/fold-line.ts';
import { lineWakeAt, wardWakeAt } from '../../src/domain/ladder/plan-wake.ts';
import { defaultPolicy, type WardPolicy } from '../../src/domain/policy/ward-policy.ts';
import type { Entry, EntryHead } from '../../src/domain/record/entry.ts';
import type { LineState } from '../../src/domain/record/line-state.ts';
import { wallTimeSchema } from '../../src/domain/shifts/wall-time.ts';
import { foldWard, newWard } from '../../src/domain/ward/ward-state.ts';

export const policy = defaultPolicy('UTC');

/** The same with its shifts 6 h away on either side of `at` (ms): no handover falls due with what is measured. */
export function policyBetweenShifts(at: number): WardPolicy {
  const hour = new Date(at).getUTCHours();
  const startsAt = (afterH: number) =>
    wallTimeSchema.parse(`${String((hour + afterH) % 24).padStart(2, '0')}:00`);
  const shifts = [
    { name: 'before', startsAt: startsAt(18) },
    { name: 'after', startsAt: startsAt(6) },
  ];
  return { ...policy, shifts: { zone: 'UTC', shifts } };
}

/** The default policy with a shift that starts at this instant's minute, ms. */
export function policyOfShiftAt(at: number): WardPolicy {
  const clock = (afterH: number) =>
    wallTimeSchema.parse(new Date(at + afterH * 3_600_000).toISOString().slice(11, 16));
  const shifts = [
    { name: 'one', startsAt: clock(0) },
    { name: 'other', startsAt: clock(12) },
  ];
  return { ...policy, shifts: { zone: 'UTC', shifts } };
}

export const silentAlarm: Alarm = { wakeAt: async () => undefined, postsWaiting: async () => undefined };
export const silentWatch: Watch = {
  entryAccepted() {},
  conflict() {},
  notified() {},
  posted() {},
  repaired() {},
  trouble(what, ids, cause) {
    throw new Error(`${what} ${JSON.stringify(ids)}`, { cause });
  },
};

export function benchDeps(record: WardRecord, clock: Clock, alarm: Alarm = silentAlarm): AppDeps {
  let id = 0;
  return { record, clock, alarm, watch: silentWatch, newId: () => `n${++id}` };
}

/** A line of an invented dog that owes nothing before the next flush (by hand) or site check (flushed continuously). */
export function caredForLine(
  id: string,
  at: number,
  flushMode: 'manual' | 'continuous',
): { line: LineState; entries: Entry[] } {
  const head: EntryHead = { at, told: at, by: 'U0NURSE', via: 'form' };
  const entries: Entry[] = [
    {
      ...head,
      kind: 'placed',
      body: {
        patient: { name: `Dog ${id}`, species: 'dog', weightKg: 28 },
        site: 'dorsal pedal',
        side: 'left',
        gauge: 20,
        flushMode,
        nurse: 'U0NURSE',
      },
    },
    { ...head, kind: 'levelled', body: {} },
    { ...head, kind: 'zeroed', body: {} },
    { ...head, kind: 'fastFlushTested', body: { verdict: 'normal' } },
  ];
  return { line: foldLine(id, entries), entries };
}

/** Writes such lines onto a ward in one change, with their wake-ups. */
export async function fillWard(
  record: WardRecord,
  wardId: string,
  lines: readonly ReturnType<typeof caredForLine>[],
  now: number,
  itsPolicy: WardPolicy = policy,
): Promise<void> {
  const ward = newWard(wardId, itsPolicy);
  const wakes: Record<string, number | null> = {
    ward: wardWakeAt(
      ward,
      lines.map(({ line }) => line),
      now,
    ),
  };
  for (const { line } of lines) wakes[line.id] = lineWakeAt(line, ward, now);
  const agreed = {
    kind: 'policySet',
    at: now,
    told: now,
    by: 'U0LEAD',
    via: 'form',
    body: { policy: itsPolicy },
  } as const;
  await record.commit(wardId, {
    // A ward that is used has a policy of its own, which is read with each look at it.
    ward: { expected: 0, entries: [agreed], after: foldWard(wardId, itsPolicy, [agreed]) },
    lines: lines.map(({ line, entries }) => ({
      id: line.id,
      expected: 0,
      entries,
      after: line,
      listed: true,
    })),
    wakes,
    posts: [],
  });
}
