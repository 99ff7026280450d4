import { describe, expect, it } from 'vitest';
import { dutiesOfLine } from '../../../src/domain/duties/duties-of-line.ts';
import { dutyStatus } from '../../../src/domain/duties/duty-status.ts';
import { saidNear } from '../../../src/domain/duties/marks-on.ts';
import { dangerousFrom, nurseGraceMs, urgencyOf } from '../../../src/domain/duties/urgency.ts';
import { gravity } from '../../../src/domain/ladder/notify-late.ts';
import { lineWakeAt, planWake } from '../../../src/domain/ladder/plan-wake.ts';
import { stepsOf } from '../../../src/domain/ladder/steps.ts';
import { graceOf } from '../../../src/domain/policy/ward-policy.ts';
import type { Entry } from '../../../src/domain/record/entry.ts';
import type { LineState } from '../../../src/domain/record/line-state.ts';
import { visitsOfShiftFrom } from '../../../src/domain/rounds/takeover.ts';
import { speaksForItself, visitBy } from '../../../src/domain/rounds/visit.ts';
import { visitsHeldUntil } from '../../../src/domain/rounds/visit-gap.ts';
import { nurseOf, onCallAt } from '../../../src/domain/ward/on-call.ts';
import type { WardState } from '../../../src/domain/ward/ward-state.ts';
import { type Act, amendAct, answerAct, lateAct, placedLine } from '../../support/arbitraries.ts';
import { hour, LineLog, minute, testWard, wall } from '../../support/line-builder.ts';
import * as fc from '../../support/properties.ts';
import { entryOf } from '../entry-of-act.ts';
import { WardNight } from './ward-night.ts';

const fromMs = wall('19:00');
const toMs = wall('07:00');
const lastLookMs = toMs + 20 * minute;

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
  looked: (run: WardNight, now: number, before: { held: ReadonlyMap<string, number> }) => void = () => {},
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
      const before = { held: visitsHeldUntil(run.ward, run.lines, at) };
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
    const draft = told[0];
    const extra = extras[0] ?? Number.POSITIVE_INFINITY;
    const at = Math.min(wakeAt, extra, draft?.at ?? Number.POSITIVE_INFINITY);
    if (at > toMs) break;
    now = Math.max(now, at);
    if (draft && draft.at <= at) {
      told.shift();
      const line = run.lines[draft.line % run.lines.length];
      if (!line) continue;
      const log = run.logs.get(line.id) ?? [];
      const entry = entryOf(draft.act, line, log, run.ward, now);
      if (entry) run.record(line.id, entry);
      continue;
    }
    if (extra <= at) extras.shift();
    look(now);
    if (wakeAt <= at) asked = null;
  }
  // Two last looks, past any gap between nudges.
  for (const last of [toMs, lastLookMs]) look(last);
  return run;
}

/** Every step of a line that waits, to whomever. */
function stepsWaiting(line: LineState, ward: WardState, now: number) {
  const people = {
    nurse: nurseOf(ward, line, now),
    lead: ward.policy.lead,
    clinician: onCallAt(ward, now),
    backup: ward.policy.backup,
  };
  return dutiesOfLine(line, ward.policy, now).flatMap((duty) => stepsOf(line, duty, ward.policy, people));
}

const wards = fc.constantFrom(
  testWard(),
  testWard({ rota: {} }),
  testWard({ nudgeGapMin: 0 }),
  testWard({ roundMin: 0, nudgeGapMin: 20 }),
  testWard({ lead: 'lead', backup: 'backup' }),
);
const people = fc.oneof({ weight: 5, arbitrary: lateAct }, { weight: 2, arbitrary: answerAct });

const anyPeople = fc.oneof({ weight: 5, arbitrary: people }, { weight: 1, arbitrary: amendAct });

describe('a night, woken at any instants, with anything told at any time', () => {
  it('leaves no step untold whose time has come, and no visit unbegun but what the gap holds back', () => {
    fc.assert(
      fc.property(staffed(anyPeople), anySchedule, wards, (ward, schedule, policy) => {
        nightOf(ward, schedule, policy, (run, now, { held }) => {
          for (const line of run.lines) {
            expect(stepsWaiting(line, run.ward, now).filter(({ at }) => at <= now)).toEqual([]);
            const visit = visitBy(line, run.ward.policy, now) ?? Number.POSITIVE_INFINITY;
            const isDue = visit <= now;
            expect(isDue && now >= (held.get(line.id) ?? 0)).toBe(false);
          }
        });
      }),
      { numRuns: 25 },
    );
  });

  it('tells nobody before the time: visits when a thing counts, the nurse after the grace, a clinician of danger alone or in waking hours', () => {
    fc.assert(
      fc.property(staffed(people), anySchedule, wards, (ward, schedule, policy) => {
        const run = nightOf(ward, schedule, policy);
        for (const { at, reader, duty } of run.told) {
          // What they were told of since it fell due, before an entry told late moved that, is said again with the rest.
          const isKnown = run.told.some(
            (one) =>
              one.reader === reader &&
              one.duty.lineId === duty.lineId &&
              one.duty.kind === duty.kind &&
              duty.dueAt <= one.at &&
              one.at < at,
          );
          if (isKnown) continue;
          const grace = graceOf(policy.policy, duty.kind);
          const log = run.logs.get(duty.lineId) ?? [];
          const cannot = log.some((entry) => entry.kind === 'noted' && entry.body.cannot?.[0] === duty.kind);
          const danger = dangerousFrom(duty, policy.policy) ?? Number.POSITIVE_INFINITY;
          const late = duty.dueAt + grace.clinician * minute;
          const earliest = {
            ward: duty.earliestAt,
            nurse: duty.dueAt + Math.min(grace.nurse * minute, nurseGraceMs(duty, policy.policy)),
            lead: cannot ? 0 : late,
            // What climbs within the minute after another comes with it.
            clinician:
              cannot || urgencyOf(policy.policy, duty.kind) === 'question'
                ? 0
                : // A cat's warning is late from the start.
                  Math.min(danger, duty.kind === 'dwellWarning' ? duty.dueAt : late) - minute + 1,
            backup: danger,
          };
          expect(at).toBeGreaterThanOrEqual(earliest[reader === 'nobody' ? 'clinician' : reader]);
        }
      }),
      { numRuns: 25 },
    );
  });

  it('rings one person’s phone again within 30 min only for something graver, just recorded, or another patient’s danger', () => {
    fc.assert(
      fc.property(staffed(people), anySchedule, wards, (ward, schedule, policy) => {
        const run = nightOf(ward, schedule, policy);
        const calls = run.posts.flatMap(({ at, post }) =>
          post.what === 'escalation' ? [{ at, ...post }] : [],
        );
        for (const [index, call] of calls.entries()) {
          const before = calls.findLast(
            (one, nth) => nth < index && one.user === call.user && one.to === call.to && one.at < call.at,
          );
          if (!before || call.at - before.at >= 30 * minute) continue;
          const gravest = (one: typeof call) =>
            Math.max(...one.duties.map((duty) => gravity(duty, policy.policy, one.at)));
          const isNews = call.duties.some(
            ({ kind, lineId, dueAt }) =>
              kind === 'finding' ||
              kind === 'fault' ||
              // Said "cannot" since, or done and asked for anew since.
              (run.logs.get(lineId) ?? []).some(
                (entry) => entry.kind === 'noted' && entry.body.cannot?.[0] === kind,
              ) ||
              // A claim kept it out of the message before; or whoever was told put it off, and is told when that ends.
              (run.logs.get(lineId) ?? []).some(
                (entry) =>
                  (entry.kind === 'claimed' || (entry.kind === 'snoozed' && entry.at >= before.at)) &&
                  entry.body.duties.some(([one]) => one === kind),
              ) ||
              dueAt > before.at,
          );
          // What the call before was made for, at its gravest, is asked for no more.
          const isCleared = before.duties.every(
            (duty) =>
              gravity(duty, policy.policy, before.at) < gravest(before) ||
              !call.duties.some((one) => one.lineId === duty.lineId && one.kind === duty.kind),
          );
          // A danger of another patient than the call before was about rings 20 min after it.
          const isNextPatients =
            call.at - before.at >= 20 * minute &&
            call.duties.some(
              (duty) =>
                gravity(duty, policy.policy, call.at) > 1 &&
                !before.duties.some(({ lineId }) => lineId === duty.lineId),
            );
          expect([gravest(call) > gravest(before), isNews, isCleared, isNextPatients]).toContain(true);
        }
      }),
      { numRuns: 25 },
    );
  });

  it('begins one nurse’s visits no sooner after each other than the gap', () => {
    fc.assert(
      fc.property(staffed(people), anySchedule, wards, (ward, schedule, policy) => {
        const run = nightOf(ward, schedule, policy);
        const visits = run.posts.flatMap(({ at, post }) =>
          post.what === 'nudge' && post.nurse !== null
            ? [{ at, nurse: post.nurse, lines: post.duties.map(({ lineId }) => lineId) }]
            : [],
        );
        for (const [index, { at, nurse, lines }] of visits.entries()) {
          const before = visits.findLast(
            (one, nth) => nth < index && one.nurse === nurse && one.lines.some((id) => lines.includes(id)),
          );
          // Nobody waits for what those of the shift before were asked; a shift's visits begin a little before it does.
          const isOfThisShift = before && before.at >= visitsOfShiftFrom(policy.policy, at);
          const apartMs = isOfThisShift ? at - before.at : Number.POSITIVE_INFINITY;
          expect(apartMs).toBeGreaterThanOrEqual(policy.policy.nudgeGapMin * minute);
        }
        const others = run.posts.flatMap(({ post }) =>
          post.what === 'nudge' && post.nurse === null ? post.duties : [],
        );
        expect(others.every(speaksForItself)).toBe(true);
      }),
      { numRuns: 25 },
    );
  });

  it('asks for its next wake-up always later than now, and before any step falls due', () => {
    fc.assert(
      fc.property(staffed(anyPeople), anySchedule, wards, (ward, schedule, policy) => {
        nightOf(ward, schedule, policy, (run, now) => {
          const held = visitsHeldUntil(run.ward, run.lines, now);
          for (const line of run.lines) {
            const wakeAt = lineWakeAt(line, run.ward, now, held.get(line.id)) ?? Number.POSITIVE_INFINITY;
            expect(wakeAt).toBeGreaterThan(now);
            expect(stepsWaiting(line, run.ward, now).filter(({ at }) => at < wakeAt)).toEqual([]);
            const visit = visitBy(line, run.ward.policy, now) ?? Number.POSITIVE_INFINITY;
            expect(Math.max(visit, held.get(line.id) ?? 0)).toBeGreaterThanOrEqual(wakeAt);
          }
        });
      }),
      { numRuns: 30 },
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
              const told = saidNear(line, duty, run.ward.policy, 'nudged') !== undefined;
              expect([duty.kind, standing.length > 0]).toEqual([duty.kind, told]);
            }
          }
        });
      }),
      { numRuns: 20 },
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
      { numRuns: 20 },
    );
  });

  it('end with every reader told the same of what is still open, however late the wake-ups came', () => {
    // A word stands for a duty that was due when it was given, even where what was told late since moved its due time.
    const toldOfOpen = (run: WardNight) =>
      run.lines
        .flatMap((line) => dutiesOfLine(line, run.ward.policy, toMs))
        .filter(({ dueAt }) => dueAt <= toMs)
        // What climbs to the clinician within the minute after the last look may or may not have come with another.
        .filter(({ kind, dueAt }) => {
          const climbsAt = dueAt + graceOf(run.ward.policy, kind).clinician * minute;
          return climbsAt <= lastLookMs || climbsAt >= lastLookMs + minute;
        })
        .flatMap((duty) =>
          (['ward', 'nurse', 'clinician', 'nobody'] as const)
            // At night care is told to a clinician only where a message is sent anyway.
            .filter(
              (reader) =>
                reader === 'ward' || reader === 'nurse' || dangerousFrom(duty, run.ward.policy) !== null,
            )
            .filter((reader) =>
              [...run.told, ...addedOf(run)].some(
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
      { numRuns: 30 },
    );
  });
});

/** What was added to a standing message, as if told anew. */
function addedOf(
  run: WardNight,
): { reader: string; at: number; duty: { lineId: string; kind: string; dueAt: number } }[] {
  // Nobody being on call, the clinician's word is the one cried out in the ward.
  return run.added.map(({ at, reader: to, lineId, kind }) => ({
    reader: to === 'clinician' && onCallAt(run.ward, at) === null ? 'nobody' : to,
    at,
    duty: { lineId, kind, dueAt: at },
  }));
}

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
          if (state && entry) run.record(state.id, entry);
        }
        const later = at + wait;
        const drafts = (now: number) =>
          planWake(policy, run.lines, now).drafts.flatMap(({ lineId, draft }) =>
            'duties' in draft.body
              ? draft.body.duties.map(
                  ([kind, dueAt]) =>
                    `${lineId} ${draft.kind === 'escalated' ? draft.body.to : 'ward'} ${kind} ${dueAt}`,
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
        const earlier = drafts(at).filter((text) => {
          const [lineId, , kind, dueAt] = text.split(' ');
          return alive.has(`${lineId} ${kind} ${dueAt}`);
        });
        const told = new Set(drafts(later));
        expect(earlier.filter((text) => !told.has(text))).toEqual([]);
      }),
      { numRuns: 30 },
    );
  });
});

describe('the ladder of hourly flushes', () => {
  // Then the day's first visit begins, and takes along a flush that is due soon.
  const untilMs = toMs - 5 * minute;

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
        .filter(([at]) => at < done && at < untilMs)
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
            run.record('line-1', {
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
          .filter(({ at, duty }) => duty.kind === 'flush' && at < untilMs)
          // A visit that begins for something else carries what is still open.
          .filter(
            ({ at, reader, duty }) =>
              reader !== 'ward' ||
              !run.told.some(
                (one) =>
                  one.reader === 'ward' &&
                  one.duty.kind === 'flush' &&
                  one.duty.dueAt === duty.dueAt &&
                  one.at < at,
              ),
          )
          .map(({ at, reader }) => `${at} ${reader}`);
        expect(told).toEqual(reckoned(flushes));
      }),
      { numRuns: 30 },
    );
  });

  it('neither loses a late reminder nor doubles a nudge when the last flush is put right', () => {
    const amendments = fc.array(
      fc.record({ afterMin: fc.integer({ min: 0, max: 70 }), toMin: fc.integer({ min: -110, max: 0 }) }),
      { minLength: 1, maxLength: 3 },
    );
    fc.assert(
      fc.property(amendments, (list) => {
        const run = new WardNight(testWard({ siteCheckEveryH: 12, redressEveryH: 24 }), [
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
          run.record('line-1', {
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
          // What is open still begins a visit again after an hour.
          told('ward')
            .filter((at) => at >= due - 10 * minute)
            .filter((at, nth, all) => at - (all[nth - 1] ?? 0) < hour || nth === 0),
          told('nurse').filter((at) => at >= due),
        ];
        for (const heard of [ward, nurse]) {
          expect(heard.length).toBeGreaterThanOrEqual(1);
          expect(heard.length).toBeLessThanOrEqual(list.length);
        }
        expect(told('clinician').filter((at) => at >= due).length).toBeGreaterThanOrEqual(1);
      }),
      { numRuns: 40 },
    );
  });
});
