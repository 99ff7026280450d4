import { describe, expect, it } from 'vitest';
import { dutiesOfLine } from '../../../src/domain/duties/duties-of-line.ts';
import { type Duty } from '../../../src/domain/duties/duty.ts';
import { usualDraft } from '../../../src/domain/duties/usual-draft.ts';
import { isClinicians } from '../../../src/domain/duty-kind.ts';
import { foldNext } from '../../../src/domain/fold/fold-line.ts';
import type { WardPolicy } from '../../../src/domain/policy/ward-policy.ts';
import type { Entry } from '../../../src/domain/record/entry.ts';
import type { LineState } from '../../../src/domain/record/line-state.ts';
import { isOnVisits, visitAt, visitsBetween, visitsByNurse } from '../../../src/domain/rounds/visit.ts';
import { careAct, placedLine } from '../../support/arbitraries.ts';
import { fewestVisits } from '../../support/fewest/fewest-visits.ts';
import { clock, hour, type LineLog, minute, testWard, wall } from '../../support/line-builder.ts';
import * as fc from '../../support/properties.ts';
import { entryOf } from '../entry-of-act.ts';
import { WardNight } from '../ladder/ward-night.ts';

const ward = testWard({ nudgeGapMin: 0 });
const { policy } = ward;
// A night's visits: from 5 min before it starts to 5 min before the day does.
const fromMs = wall('18:55');
const toMs = wall('06:55');

function record(line: LineState, duty: Duty, at: number): LineState {
  const draft = usualDraft(duty.kind);
  if (!draft) return line;
  const time = Math.max(at, line.latestAt);
  return foldNext(line, { at: time, told: time, by: 'nina', via: 'button', ...draft } as Entry, () => []);
}

/** What a nurse does at a visit: all it asks for, and the zero that a redress asks for. */
function walked(run: WardNight): string[] {
  const visits: string[] = [];
  let now = fromMs;
  for (let at = now; at < toMs; at = run.nextWake(now) ?? toMs) {
    now = Math.max(at, now);
    const begun = run
      .wake(now)
      .flatMap((post) =>
        post.what === 'nudge' && post.nurse !== null
          ? [post.duties.filter((duty) => isOnVisits(duty, policy))]
          : [],
      );
    visits.push(...begun.map((duties) => written(now, duties)));
    for (const duty of begun.flat()) tellRun(run, duty, now);
    // What a redress before the night asks for is no part of this visit.
    const redressed = new Set(
      begun.flat().flatMap(({ kind, lineId }) => (kind === 'redress' ? [lineId] : [])),
    );
    for (const line of run.lines.filter(({ id }) => redressed.has(id)))
      for (const duty of dutiesOfLine(line, policy, now))
        if (duty.why === 'redressed' && duty.dueAt === now) tellRun(run, duty, now);
  }
  return visits;
}

function tellRun(run: WardNight, { lineId, kind }: Duty, now: number): void {
  const draft = usualDraft(kind);
  if (draft) run.record(lineId, { at: now, told: now, by: 'nina', via: 'button', ...draft } as Entry);
}

const written = (at: number, duties: readonly Duty[]) =>
  `${clock(at)} ${duties
    .map(({ lineId, kind }) => `${lineId} ${kind}`)
    .sort((a, b) => a.localeCompare(b))
    .join(', ')}`;

const staffed = fc.record({
  lines: fc
    .tuple(placedLine('a'), placedLine('b'), placedLine('c'))
    .chain((three) => fc.integer({ min: 1, max: 3 }).map((count) => three.slice(0, count))),
  acts: fc.array(fc.record({ line: fc.nat({ max: 2 }), act: careAct }), { maxLength: 8 }),
});

function begun({
  lines,
  acts,
}: {
  lines: LineLog[];
  acts: { line: number; act: Parameters<typeof entryOf>[0] }[];
}): WardNight {
  const run = new WardNight(ward, lines);
  for (const { line, act } of acts) {
    const state = run.lines[line % run.lines.length];
    const entry = state && entryOf(act, state, run.logs.get(state.id) ?? [], ward, fromMs);
    if (state && entry) run.record(state.id, entry);
  }
  return run;
}

describe('the visits of a night', () => {
  it('are just the messages that come when each is made as it begins: the plan and the reminders never differ', () => {
    fc.assert(
      fc.property(staffed, (given) => {
        const run = begun(given);
        // What a new source or set brings with it, and what becomes of a fault, only a person can say.
        fc.pre(
          !run.lines.some((line) =>
            dutiesOfLine(line, policy, fromMs).some(
              ({ kind, dueAt }) => ['runOut', 'set', 'faultOpen'].includes(kind) && dueAt < toMs,
            ),
          ),
        );
        const planned = visitsByNurse(run.ward, run.lines, fromMs, toMs, fromMs)
          .flatMap(({ visits }) => visits.map(({ at, duties }) => [at, written(at, duties)] as const))
          .sort(([a], [b]) => a - b);
        expect(walked(run).toSorted()).toEqual(planned.map(([, words]) => words).toSorted());
      }),
      { numRuns: 25 },
    );
  });

  it('stay as they are while nothing changes: looked at later, the same are still to come', () => {
    fc.assert(
      fc.property(staffed, fc.integer({ min: 1, max: 90 }), (given, waitMin) => {
        const { lines } = begun(given);
        const planned = visitsBetween(lines, policy, fromMs, toMs);
        const first = planned[0]?.at ?? toMs;
        const later = Math.min(fromMs + waitMin * minute, first);
        expect(visitsBetween(lines, policy, later, toMs)).toEqual(planned);
      }),
      { numRuns: 50 },
    );
  });

  it('do everything by the time it is due, nothing before it counts, and leave nothing', () => {
    fc.assert(
      fc.property(staffed, (given) => {
        let lines = begun(given).lines;
        const wrong: string[] = [];
        for (const { at, duties } of visitsBetween(lines, policy, fromMs, toMs)) {
          for (const duty of duties) {
            const name = `${clock(at)} ${duty.lineId} ${duty.kind}, due ${clock(duty.dueAt)}`;
            if (duty.earliestAt > at) wrong.push(`${name}: too soon`);
            // A cat’s warning is carried: for itself a visit begins only an hour later.
            const isNews = duty.kind === 'dwellWarning';
            const latest = isNews
              ? duty.dueAt + hour
              : duty.dueAt +
                (['shift start', 'interval', 'running out', 'removed'].includes(duty.why)
                  ? 0
                  : policy.atOnceMin * minute);
            if (at > Math.max(latest, fromMs)) wrong.push(`${name}: too late`);
          }
          lines = lines.map((line) => {
            const done = duties
              .filter(({ lineId }) => lineId === line.id)
              .reduce((state, duty) => record(state, duty, at), line);
            const caused = dutiesOfLine(done, policy, at).filter(
              ({ why, dueAt }) => why === 'redressed' && dueAt === Math.max(at, dueAt),
            );
            return caused.reduce((state, duty) => record(state, duty, at), done);
          });
        }
        const left = lines.flatMap((line) =>
          dutiesOfLine(line, policy, toMs).filter(
            (duty) =>
              isOnVisits(duty, policy) &&
              usualDraft(duty.kind) !== null &&
              duty.dueAt < toMs - policy.atOnceMin * minute,
          ),
        );
        expect([...wrong, ...left.map(({ lineId, kind }) => `${lineId} ${kind} is left`)]).toEqual([]);
      }),
      { numRuns: 60 },
    );
  });

  it('are hardly more than the fewest that could do so, found by a search that proves it', () => {
    // The search counts on the grace; a grace of one minute leaves it the time that things are due.
    const byDue: WardPolicy = {
      ...policy,
      atOnceMin: 0,
      flushGraceMin: { nurse: 1, clinician: 2 },
      graceMin: { nurse: 1, clinician: 2 },
    };
    let planned = 0;
    let fewest = 0;
    fc.assert(
      fc.property(staffed, (given) => {
        const lines = begun(given).lines.filter(({ removed, faults }) => !removed && faults.length === 0);
        const onVisits = lines.filter((line) => line.patient.species !== 'cat');
        const plan = fewestVisits(onVisits, byDue, fromMs, toMs);
        if (!plan.proved) return;
        const visits = visitsBetween(onVisits, byDue, fromMs, toMs);
        planned += visits.length;
        fewest += plan.visits.length;
        expect(visits.length).toBeLessThanOrEqual(plan.visits.length + 4);
      }),
      { numRuns: 30 },
    );
    expect(fewest).toBeGreaterThan(100);
    expect(planned / fewest).toBeLessThan(1.15);
  });
});

describe('what a visit leaves alone', () => {
  it('is a clinician’s, a question, a cat’s dwell limit, the look after a hold, and what falls due in the next shift', () => {
    fc.assert(
      fc.property(staffed, fc.integer({ min: 0, max: 12 * 60 }), (given, minutes) => {
        const at = fromMs + minutes * minute;
        const { lines } = begun(given);
        for (const duty of visitAt(lines, policy, at)) {
          expect(isClinicians(duty.kind)).toBe(false);
          expect(['stillNeeded', 'hold', 'dwellLimit']).not.toContain(duty.kind);
          expect(duty.dueAt).toBeLessThan(wall('07:00') + (at >= toMs ? 12 * hour : 0));
        }
      }),
      { numRuns: 50 },
    );
  });
});
