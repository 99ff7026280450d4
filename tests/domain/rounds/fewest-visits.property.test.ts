import { describe, expect, it } from 'vitest';
import { dutiesOfLine } from '../../../src/domain/duties/duties-of-line.ts';
import { type Duty } from '../../../src/domain/duties/duty.ts';
import { usualDraft } from '../../../src/domain/duties/usual-draft.ts';
import { type DutyKind, isClinicians } from '../../../src/domain/duty-kind.ts';
import { foldNext } from '../../../src/domain/fold/fold-line.ts';
import { graceOf, type WardPolicy } from '../../../src/domain/policy/ward-policy.ts';
import type { Entry, EntryDraft } from '../../../src/domain/record/entry.ts';
import type { LineState } from '../../../src/domain/record/line-state.ts';
import { careAct, placedLine } from '../../support/arbitraries.ts';
import { fewestVisits, visitsAtDueTimes } from '../../support/fewest/fewest-visits.ts';
import { clock, hour, LineLog, minute, testWard, wall } from '../../support/line-builder.ts';
import * as fc from '../../support/properties.ts';
import { entryOf } from '../entry-of-act.ts';
import { WardNight } from '../ladder/ward-night.ts';

const ward = testWard();

/** What a nurse tells who did a duty; null where only a form can say it. */
function doing({ kind, dueAt }: Duty, now: number): EntryDraft | null {
  if (kind !== 'stillNeeded') return usualDraft(kind);
  return { kind: 'waived', body: { duty: kind, dueAt, reason: 'needed', until: now + 24 * hour } };
}

function record(line: LineState, duty: Duty, at: number): LineState {
  const draft = doing(duty, at);
  if (!draft) return line;
  return foldNext(line, { at, told: at, by: 'nina', via: 'button', ...draft } as Entry, () => []);
}

/** Whether the nurse was told by `at` that the duty is late: written anew from what the ladder promises. */
function isTooLate({ kind, dueAt }: Duty, policy: WardPolicy, at: number): boolean {
  if (kind === 'dwellLimit' || kind === 'hold') return at > dueAt;
  return at >= dueAt + graceOf(policy, kind).nurse * minute;
}

/** All that is work: a finding or a fault is the clinician's, a dwell warning is news. */
const owed = (line: LineState, policy: WardPolicy, fromMs: number, toMs: number, asked: Set<DutyKind>) =>
  dutiesOfLine(line, policy, fromMs).filter(
    ({ kind, dueAt }) => dueAt < toMs && !isClinicians(kind) && kind !== 'dwellWarning' && !asked.has(kind),
  );

describe('the fewest visits of a night', () => {
  const fromMs = wall('18:45');
  const toMs = wall('07:00');

  it('do every duty while it counts and before anybody is told that it is late, and leave none', () => {
    const staffed = fc.record({
      lines: fc.tuple(placedLine('a'), placedLine('b'), placedLine('c')),
      acts: fc.array(fc.record({ line: fc.nat({ max: 2 }), act: careAct }), { maxLength: 10 }),
    });
    fc.assert(
      fc.property(staffed, ({ lines, acts }) => {
        const run = new WardNight(ward, lines);
        for (const { line, act } of acts) {
          const state = run.lines[line];
          const entry = state && entryOf(act, state, run.logs.get(state.id) ?? [], ward, fromMs);
          if (state && entry) run.record(state.id, entry);
        }
        const start = run.lines.map((line) => ({ ...line, latestAt: Math.min(line.latestAt, fromMs) }));
        const plan = fewestVisits(start, ward.policy, fromMs, toMs);
        const states = new Map(start.map((line) => [line.id, line]));
        const asked = new Map(start.map(({ id }) => [id, new Set<DutyKind>()]));
        const wrong: string[] = [];
        for (const { at, duties } of plan.visits) {
          const name = (duty: Duty) => `${clock(at)} ${duty.lineId} ${duty.kind}, due ${clock(duty.dueAt)}`;
          // What was late before the time planned is done at its first minute.
          for (const [id, line] of states)
            for (const duty of owed(line, ward.policy, fromMs, toMs, asked.get(id) ?? new Set()))
              if (isTooLate(duty, ward.policy, at - minute) && at > fromMs + minute)
                wrong.push(`${name(duty)} was left too late`);
          for (const planned of duties) {
            const line = states.get(planned.lineId);
            const duty =
              line && dutiesOfLine(line, ward.policy, fromMs).find(({ kind }) => kind === planned.kind);
            if (!line || !duty) {
              wrong.push(`${name(planned)} is not owed`);
              continue;
            }
            // A point in time within a minute is met at that minute.
            if (duty.earliestAt > at && duty.earliestAt - at >= minute)
              wrong.push(`${name(duty)} is too soon`);
            const isNews = duty.kind === 'dwellWarning';
            if (!isNews && isTooLate(duty, ward.policy, at) && at > fromMs + minute)
              wrong.push(`${name(duty)} is too late`);
            if (!doing(duty, at)) asked.get(line.id)?.add(duty.kind);
            states.set(line.id, record(line, duty, at));
          }
        }
        for (const [id, line] of states)
          wrong.push(
            ...owed(line, ward.policy, fromMs, toMs, asked.get(id) ?? new Set()).map(
              ({ kind }) => `${id} ${kind} is left`,
            ),
          );
        expect(wrong).toEqual([]);
        expect(plan.visits.every(({ at, duties }) => at % minute === 0 && duties.length > 0)).toBe(true);
        expect(plan.visits.length).toBeLessThanOrEqual(
          visitsAtDueTimes(start, ward.policy, fromMs, toMs).length,
        );
      }),
      { numRuns: 40 },
    );
  });
});

describe('the fewest visits of an evening', () => {
  const policy: WardPolicy = { ...ward.policy, siteCheckEveryH: 1 };
  const fromMs = wall('20:00');
  const toMs = wall('22:15');

  /** Every state a line may be in after a visit, whichever of the open duties are done at it; none where one is missed. */
  function after(line: LineState, at: number): LineState[] {
    const duties = owed(line, policy, fromMs, toMs, new Set());
    if (duties.some((duty) => isTooLate(duty, policy, at))) return [];
    const open = duties.filter(({ earliestAt }) => earliestAt <= at);
    return Array.from({ length: 2 ** open.length }, (_, bits) => {
      const chosen = open.filter((_duty, index) => (bits & (1 << index)) !== 0);
      // A redress asks for a zero at once and is a site check.
      const dressed = chosen.find(({ kind }) => kind === 'redress');
      const first = dressed ? record(line, dressed, at) : line;
      const rest = chosen.filter(({ kind }) => kind !== 'redress');
      const told = rest.reduce((state, duty) => record(state, duty, at), first);
      const zero = dutiesOfLine(told, policy, fromMs).find(({ why }) => why === 'redressed');
      return zero ? record(told, zero, at) : told;
    });
  }
  const isDone = (line: LineState) => owed(line, policy, fromMs, toMs, new Set()).length === 0;

  it('are as few as any one or two minutes could be, every choice of what to do at them tried', () => {
    const ago = (max: number) => fc.integer({ min: 1, max });
    const cared = fc
      .record({
        pump: fc.boolean(),
        flushed: ago(58),
        seen: ago(59),
        dressed: fc.integer({ min: 560, max: 700 }),
      })
      .map(({ pump, flushed, seen, dressed }) => {
        const placed = fromMs - dressed * minute;
        const log = new LineLog(placed, { flushMode: pump ? 'continuous' : 'manual' })
          .inOrder(fromMs - 60 * minute)
          .add('sourceChecked', fromMs - 60 * minute, {})
          .add('siteChecked', fromMs - seen * minute, { finding: {} })
          .add('flushed', fromMs - flushed * minute, {});
        return { ...log.state(), latestAt: fromMs };
      });
    let compared = 0;
    fc.assert(
      fc.property(fc.array(cared, { minLength: 1, maxLength: 2 }), (states) => {
        const lines = states.map((line, index) => ({ ...line, id: `l${index}` }));
        const plan = fewestVisits(lines, policy, fromMs, toMs);
        expect(plan.proved).toBe(true);
        if (plan.visits.length < 2 || plan.visits.length > 3) return;
        compared += 1;
        const minutes = Array.from(
          { length: (toMs - fromMs) / minute },
          (_, index) => fromMs + index * minute,
        );
        const fewer: string[] = [];
        for (const one of minutes) {
          const may = lines.map((line) => after(line, one));
          if (may.some((some) => some.length === 0)) break;
          if (may.every((some) => some.some(isDone))) fewer.push(clock(one));
          if (plan.visits.length < 3) continue;
          // What two visits can do of each line, so that the second is looked for where all lines allow it.
          for (const two of minutes.filter((at) => at > one))
            if (may.every((some) => some.some((line) => after(line, two).some(isDone))))
              fewer.push(`${clock(one)} ${clock(two)}`);
        }
        expect(fewer).toEqual([]);
      }),
      { numRuns: 8 },
    );
    expect(compared).toBeGreaterThan(3);
  });
});
