import { describe, expect, it } from 'vitest';
import { dutiesOfLine } from '../../../src/domain/duties/duties-of-line.ts';
import { dutyStatus } from '../../../src/domain/duties/duty-status.ts';
import { toldNear } from '../../../src/domain/duties/marks-on.ts';
import { lineWakeAt, nudgeHeldUntil, planWake } from '../../../src/domain/ladder/plan-wake.ts';
import { isExemptFromGap, stepsOf } from '../../../src/domain/ladder/steps.ts';
import { graceOf } from '../../../src/domain/policy/ward-policy.ts';
import type { Entry } from '../../../src/domain/record/entry.ts';
import type { WardState } from '../../../src/domain/ward/ward-state.ts';
import { type Act, amendAct, answerAct, lateAct, placedLine } from '../../support/arbitraries.ts';
import { hour, LineLog, minute, testWard, wall } from '../../support/line-builder.ts';
import * as fc from '../../support/properties.ts';
import { entryOf } from '../entry-of-act.ts';
import { type ToldOf, WardNight } from './ward-night.ts';

const fromMs = wall('19:00');
const toMs = wall('07:00');

/** When a ward is really woken, where its index asks for instants: each late by some ms, doubled or not, and extra ones. */
interface Schedule {
  lateMs: readonly number[];
  doubled: boolean;
  extraAt: readonly number[];
}
const onTime: Schedule = { lateMs: [0], doubled: false, extraAt: [] };
const extraAt = fc.array(fc.integer({ min: fromMs, max: toMs }), { maxLength: 30 });
const punctual = fc.record({ lateMs: fc.constant([0]), doubled: fc.boolean(), extraAt });
const anySchedule = fc.record({
  lateMs: fc.array(fc.oneof(fc.constant(0), fc.integer({ min: 0, max: 100 * minute })), {
    minLength: 1,
    maxLength: 20,
  }),
  doubled: fc.boolean(),
  extraAt,
});

/** Acts of the people of a ward, each on one of its lines. */
interface Staffed {
  lines: LineLog[];
  acts: { line: number; act: Act }[];
}
const staffed = (act: fc.Arbitrary<Act>): fc.Arbitrary<Staffed> =>
  fc.record({
    lines: fc
      .tuple(placedLine('a'), placedLine('b'), placedLine('c'))
      .chain((lines) => fc.integer({ min: 1, max: 3 }).map((count) => lines.slice(0, count))),
    acts: fc.array(fc.record({ line: fc.nat({ max: 2 }), act }), { maxLength: 30 }),
  });

/** Lives a night, calling `looked` after every wake-up with what was told at it. */
function nightOf(
  { lines, acts }: Staffed,
  schedule: Schedule,
  ward: WardState,
  looked: (
    run: WardNight,
    now: number,
    before: { run: WardNight['lines']; heldUntil: number },
  ) => void = () => {},
): WardNight {
  const run = new WardNight(ward, lines);
  let now = fromMs;
  const told: { at: number; line: number; act: Act }[] = [];
  for (const { line, act } of acts) told.push({ at: (told.at(-1)?.at ?? fromMs) + act.waitMs, line, act });
  const extras = schedule.extraAt.toSorted((a, b) => a - b);
  let nth = 0;
  let asked = null as { at: number; wakeAt: number } | null;
  const look = (at: number) => {
    for (let time = 0; time < (schedule.doubled ? 2 : 1); time++) {
      const before = { run: run.lines, heldUntil: nudgeHeldUntil(run.ward, run.lines) };
      run.wake(at);
      looked(run, at, before);
    }
  };
  for (let guard = 0; guard < 20_000; guard++) {
    const next = run.nextWake(now);
    // A wake-up keeps its own lateness until its instant is moved by what somebody tells.
    if (next !== null && next !== asked?.at)
      asked = {
        at: next,
        wakeAt: Math.max(now, next) + (schedule.lateMs[nth++ % schedule.lateMs.length] ?? 0),
      };
    const wakeAt = next === null ? Number.POSITIVE_INFINITY : (asked?.wakeAt ?? now);
    const telling = told[0];
    const extra = extras[0] ?? Number.POSITIVE_INFINITY;
    const at = Math.min(wakeAt, extra, telling?.at ?? Number.POSITIVE_INFINITY);
    if (at > toMs) break;
    now = Math.max(now, at);
    if (telling && telling.at <= at) {
      told.shift();
      const line = run.lines[telling.line % run.lines.length];
      if (!line) continue;
      const log = run.logs.get(line.id) ?? [];
      const entry = entryOf(telling.act, line, log, run.ward, now);
      if (entry) run.tell(line.id, entry);
      continue;
    }
    if (extra <= at) extras.shift();
    look(now);
    if (wakeAt <= at) asked = null;
  }
  // Two last looks, past any gap between nudges.
  for (const last of [toMs, toMs + 20 * minute]) look(last);
  return run;
}

const key = ({ duty: { lineId, kind, dueAt }, reader }: ToldOf) => `${lineId} ${kind} ${dueAt} ${reader}`;
const wards = fc.constantFrom(
  testWard(),
  testWard({ rota: {} }),
  testWard({ nudgeGapMin: 0 }),
  testWard({ roundMin: 0, nudgeGapMin: 20 }),
);
const people = fc.oneof({ weight: 5, arbitrary: lateAct }, { weight: 2, arbitrary: answerAct });

const anyPeople = fc.oneof({ weight: 5, arbitrary: people }, { weight: 1, arbitrary: amendAct });

describe('a night, woken at any instants, with anything told at any time', () => {
  it('leaves no step untold whose time has come, but nudges that the ward’s gap holds back', () => {
    fc.assert(
      fc.property(staffed(anyPeople), anySchedule, wards, (ward, schedule, policy) => {
        nightOf(ward, schedule, policy, (run, now, before) => {
          const open = run.lines.flatMap((line) =>
            dutiesOfLine(line, run.ward.policy, now).flatMap((duty) => stepsOf(line, duty, run.ward.policy)),
          );
          const untold = open.filter(({ at }) => at <= now);
          const heldBack = untold.filter(
            ({ to, duty }) => to === 'ward' && !isExemptFromGap(duty) && now < before.heldUntil,
          );
          expect(untold).toEqual(heldBack);
        });
      }),
      { numRuns: 80 },
    );
  });

  it('tells ward and nurse of a duty once, the nurse once more after “later”, another nurse as well', () => {
    fc.assert(
      fc.property(staffed(people), anySchedule, wards, (ward, schedule, policy) => {
        const run = nightOf(ward, schedule, policy);
        const counts = Map.groupBy(
          run.told.filter(({ reader }) => reader === 'ward' || reader === 'nurse'),
          key,
        );
        for (const [, [first, ...more]] of counts) {
          if (!first) continue;
          const later = (run.logs.get(first.duty.lineId) ?? []).filter(
            (entry) =>
              entry.kind === 'snoozed' &&
              entry.body.duties.some(
                ([kind, dueAt]) => kind === first.duty.kind && dueAt === first.duty.dueAt,
              ),
          );
          const again = more.filter(
            ({ user }, index) => user === (index === 0 ? first : more[index - 1])?.user,
          );
          expect(again.length).toBeLessThanOrEqual(first.reader === 'nurse' ? later.length : 0);
        }
      }),
      { numRuns: 80 },
    );
  });

  it('tells nobody before the time: the ward at most a round’s minutes early, nurse and clinician after their graces', () => {
    fc.assert(
      fc.property(staffed(people), anySchedule, wards, (ward, schedule, policy) => {
        const run = nightOf(ward, schedule, policy);
        for (const [index, { at, reader, duty }] of run.told.entries()) {
          const grace = graceOf(policy.policy, duty.kind);
          const log = run.logs.get(duty.lineId) ?? [];
          const putOff = log.some(
            (entry) => entry.kind === 'snoozed' && entry.body.duties.some(([kind]) => kind === duty.kind),
          );
          const cannot = log.some((entry) => entry.kind === 'noted' && entry.body.cannot?.[0] === duty.kind);
          // Told again: a word given since it was due stands for it.
          const again = run.told
            .slice(0, index)
            .some(
              (one) =>
                one.reader === reader &&
                one.duty.lineId === duty.lineId &&
                one.duty.kind === duty.kind &&
                one.at >= duty.dueAt,
            );
          const atOnce = ['finding', 'fault', 'dwellLimit', 'dwellWarning'].includes(duty.kind);
          const earliest = {
            ward: Math.max(duty.dueAt - policy.policy.roundMin * minute, duty.earliestAt),
            nurse: duty.dueAt + (putOff ? 0 : grace.nurse) * minute,
            clinician: cannot || again ? 0 : duty.dueAt + (atOnce ? 0 : grace.clinician) * minute,
          };
          expect(at).toBeGreaterThanOrEqual(earliest[reader === 'nobody' ? 'clinician' : reader]);
        }
      }),
      { numRuns: 80 },
    );
  });

  it('tells the clinician only where something is new, was told 30 min ago, or “cannot” was said', () => {
    fc.assert(
      fc.property(staffed(people), anySchedule, wards, (ward, schedule, policy) => {
        const run = nightOf(ward, schedule, policy);
        const clinician = run.told.filter(({ reader }) => reader === 'clinician' || reader === 'nobody');
        for (const [at, message] of Map.groupBy(clinician, (one) => one.at)) {
          const reasons = message.filter(({ duty }) => {
            const before = clinician.findLast(
              (one) => one.at < at && one.duty.lineId === duty.lineId && one.duty.kind === duty.kind,
            );
            const cannot = (run.logs.get(duty.lineId) ?? []).some(
              (entry) =>
                entry.kind === 'noted' &&
                entry.body.cannot?.[0] === duty.kind &&
                entry.at >= (before?.at ?? 0) &&
                entry.at <= at,
            );
            return !before || before.at < duty.dueAt || at - before.at >= 30 * minute || cannot;
          });
          expect(reasons.length).toBeGreaterThan(0);
        }
      }),
      { numRuns: 80 },
    );
  });

  it('nudges a ward at most once in its gap, dwell and holds excepted', () => {
    fc.assert(
      fc.property(staffed(people), anySchedule, wards, (ward, schedule, policy) => {
        const run = nightOf(ward, schedule, policy);
        const nudges = run.posts.filter(({ post }) => post.what === 'nudge');
        for (const [index, { at, post }] of nudges.entries()) {
          const before = nudges[index - 1];
          if (!before || !('duties' in post) || post.duties.some(isExemptFromGap)) continue;
          expect(at - before.at).toBeGreaterThanOrEqual(policy.policy.nudgeGapMin * minute);
        }
      }),
      { numRuns: 80 },
    );
  });

  it('asks for its next wake-up always later than now, and before any step falls due', () => {
    fc.assert(
      fc.property(staffed(anyPeople), anySchedule, wards, (ward, schedule, policy) => {
        nightOf(ward, schedule, policy, (run, now) => {
          const held = nudgeHeldUntil(run.ward, run.lines);
          for (const line of run.lines) {
            const wakeAt = lineWakeAt(line, run.ward, now, held) ?? Number.POSITIVE_INFINITY;
            expect(wakeAt).toBeGreaterThan(now);
            const steps = dutiesOfLine(line, run.ward.policy, now).flatMap((duty) =>
              stepsOf(line, duty, run.ward.policy),
            );
            const sooner = steps.filter(
              ({ to, at, duty }) =>
                at < wakeAt && !(to === 'ward' && !isExemptFromGap(duty) && held >= wakeAt),
            );
            expect(sooner).toEqual([]);
          }
        });
      }),
      { numRuns: 80 },
    );
  });
});

describe('the nudges that stand in a ward’s channel', () => {
  it('show a duty as open just when the ladder takes it for told: none stale, none without its ask', () => {
    fc.assert(
      fc.property(staffed(anyPeople), anySchedule, wards, (ward, schedule, policy) => {
        nightOf(ward, schedule, policy, (run, now) => {
          for (const line of run.lines) {
            for (const duty of dutiesOfLine(line, run.ward.policy, now)) {
              const standing = run.told
                .filter(
                  (one) =>
                    one.reader === 'ward' && one.duty.lineId === line.id && one.duty.kind === duty.kind,
                )
                .filter((one) => dutyStatus(line, run.ward.policy, one.duty, one.at, now).is === 'open');
              const told = toldNear(line, duty, run.ward.policy, 'nudged') !== undefined;
              expect([duty.kind, standing.length > 0]).toEqual([duty.kind, told]);
            }
          }
        });
      }),
      { numRuns: 40 },
    );
  });
});

describe('two nights of the same ward, told the same things', () => {
  const logsOf = (run: WardNight) => Object.fromEntries(run.logs);

  it('are written the same, whatever wake-ups come doubled or between those asked for', () => {
    fc.assert(
      fc.property(staffed(anyPeople), punctual, wards, (ward, schedule, policy) => {
        expect(logsOf(nightOf(ward, schedule, policy))).toEqual(logsOf(nightOf(ward, onTime, policy)));
      }),
      { numRuns: 80 },
    );
  });

  it('end with every reader told the same of what is still open, however late the wake-ups came', () => {
    // A word stands for a duty that was due when it was given, even where what was told late since moved its due time.
    const toldOfOpen = (run: WardNight) =>
      run.lines
        .flatMap((line) => dutiesOfLine(line, run.ward.policy, toMs))
        .filter(({ dueAt }) => dueAt <= toMs)
        .flatMap((duty) =>
          (['ward', 'nurse', 'clinician', 'nobody'] as const)
            .filter((reader) =>
              run.told.some(
                (one) =>
                  one.reader === reader &&
                  one.duty.lineId === duty.lineId &&
                  one.duty.kind === duty.kind &&
                  (one.duty.dueAt === duty.dueAt || one.at >= duty.dueAt),
              ),
            )
            .map((reader) => `${duty.lineId} ${duty.kind} ${duty.dueAt} ${reader}`),
        );
    fc.assert(
      fc.property(staffed(lateAct), anySchedule, anySchedule, wards, (ward, one, other, policy) => {
        expect(toldOfOpen(nightOf(ward, one, policy))).toEqual(toldOfOpen(nightOf(ward, other, policy)));
      }),
      { numRuns: 80 },
    );
  });
});

describe('the same record looked at earlier and later', () => {
  it('never tells more at the earlier instant', () => {
    const times = fc.tuple(fc.integer({ min: fromMs, max: toMs }), fc.integer({ min: 0, max: 12 * hour }));
    fc.assert(
      fc.property(staffed(people), times, wards, ({ lines, acts }, [at, wait], policy) => {
        const run = new WardNight(policy, lines);
        for (const [index, { line, act }] of acts.entries()) {
          const state = run.lines[line % run.lines.length];
          const entry =
            state &&
            entryOf(
              act,
              state,
              run.logs.get(state.id) ?? [],
              policy,
              Math.min(at, fromMs + index * 10 * minute),
            );
          if (state && entry) run.tell(state.id, entry);
        }
        const later = at + wait;
        const tellings = (now: number) =>
          planWake(policy, run.lines, now).tellings.flatMap(({ lineId, telling }) =>
            'duties' in telling.body
              ? telling.body.duties.map(
                  ([kind, dueAt]) =>
                    `${lineId} ${telling.kind === 'escalated' ? telling.body.to : 'ward'} ${kind} ${dueAt}`,
                )
              : [],
          );
        const alive = new Set(
          run.lines.flatMap((line) =>
            dutiesOfLine(line, policy.policy, later).map(
              ({ lineId, kind, dueAt }) => `${lineId} ${kind} ${dueAt}`,
            ),
          ),
        );
        const earlier = tellings(at).filter((text) => {
          const [lineId, , kind, dueAt] = text.split(' ');
          return alive.has(`${lineId} ${kind} ${dueAt}`);
        });
        const told = new Set(tellings(later));
        expect(earlier.filter((text) => !told.has(text))).toEqual([]);
      }),
      { numRuns: 80 },
    );
  });
});

describe('the ladder of hourly flushes', () => {
  /** The ladder of the product page, reckoned by hand from flush times alone: due 60 min after, then +10, +20, +50, ... */
  function reckoned(flushes: readonly number[]): string[] {
    return flushes.flatMap((flushedAt, index) => {
      const due = flushedAt + hour;
      const done = flushes[index + 1] ?? Number.POSITIVE_INFINITY;
      const repeats = Array.from(
        { length: 30 },
        (_, nth) => [due + (20 + 30 * nth) * minute, 'clinician'] as const,
      );
      return ([[due, 'ward'], [due + 10 * minute, 'nurse'], ...repeats] as const)
        .filter(([at]) => at < done && at <= toMs)
        .map(([at, reader]) => `${at} ${reader}`);
    });
  }

  it('is told minute for minute as reckoned from the flushes alone', () => {
    const waits = fc.array(fc.integer({ min: 1, max: 150 }), { maxLength: 20 });
    fc.assert(
      fc.property(waits, (minutes) => {
        const flushes = [fromMs];
        for (const wait of minutes) flushes.push((flushes.at(-1) ?? fromMs) + wait * minute);
        const run = new WardNight(
          testWard({ roundMin: 0, nudgeGapMin: 0, siteCheckEveryH: 12, redressEveryH: 24 }),
          [new LineLog(fromMs).inOrder(fromMs)],
        );
        for (const [index, flushedAt] of flushes.entries()) {
          if (flushedAt > toMs) break;
          if (index > 0)
            run.tell('line-1', {
              at: flushedAt,
              told: flushedAt,
              by: 'nina',
              via: 'button',
              kind: 'flushed',
              body: {},
            });
          run.runOnTime(flushedAt, Math.min((flushes[index + 1] ?? Number.POSITIVE_INFINITY) - 1, toMs));
        }
        const told = run.told
          .filter(({ duty }) => duty.kind === 'flush')
          .map(({ at, reader }) => `${at} ${reader}`);
        expect(told).toEqual(reckoned(flushes));
      }),
      { numRuns: 80 },
    );
  });

  it('neither loses a late reminder nor doubles a nudge when the last flush is put right', () => {
    const amendments = fc.array(
      fc.record({ afterMin: fc.integer({ min: 0, max: 70 }), toMin: fc.integer({ min: -110, max: 0 }) }),
      { minLength: 1, maxLength: 3 },
    );
    fc.assert(
      fc.property(amendments, (list) => {
        const run = new WardNight(testWard(), [
          new LineLog(fromMs - 2 * hour)
            .inOrder(fromMs)
            .add('redressed', fromMs, { finding: {} })
            .inOrder(fromMs)
            .add('flushed', fromMs, {}),
        ]);
        let now = fromMs + 50 * minute;
        let flushedAt = fromMs;
        run.runOnTime(fromMs, now);
        for (const { afterMin, toMin } of list) {
          const next = now + afterMin * minute;
          run.runOnTime(now, next);
          now = next;
          flushedAt = Math.min(now, now + toMin * minute);
          if (flushedAt < fromMs - 2 * hour) continue;
          run.tell('line-1', {
            at: now,
            told: now,
            by: 'nina',
            via: 'form',
            kind: 'amended',
            body: { target: 7, at: flushedAt },
          } as Entry);
        }
        run.runOnTime(now, now + 3 * hour);
        const state = run.lines[0];
        const due = Math.max(state?.flushed.at ?? 0, fromMs - 2 * hour) + hour;
        const told = (reader: string) =>
          run.told.filter((one) => one.duty.kind === 'flush' && one.reader === reader).map(({ at }) => at);
        // Each reader heard of it when it was due, or late; ward and nurse once for each time the flush was thought to be.
        const [ward, nurse] = [
          told('ward').filter((at) => at >= due - 10 * minute),
          told('nurse').filter((at) => at >= due),
        ];
        for (const heard of [ward, nurse]) {
          expect(heard.length).toBeGreaterThanOrEqual(1);
          expect(heard.length).toBeLessThanOrEqual(list.length);
        }
        expect(told('clinician').filter((at) => at >= due).length).toBeGreaterThanOrEqual(1);
      }),
      { numRuns: 120 },
    );
  });
});
