import { describe, expect, it } from 'vitest';
import { dutiesOfLine } from '../../../src/domain/duties/duties-of-line.ts';
import type { Duty } from '../../../src/domain/duties/duty.ts';
import { usualTelling } from '../../../src/domain/duties/usual-telling.ts';
import type { Entry, Telling } from '../../../src/domain/record/entry.ts';
import { roundsBetween } from '../../../src/domain/rounds/rounds.ts';
import { careAct, placedLine } from '../../support/arbitraries.ts';
import { clock, hour, testWard, wall } from '../../support/line-builder.ts';
import * as fc from '../../support/properties.ts';
import { entryOf } from '../entry-of-act.ts';
import { WardNight } from '../ladder/ward-night.ts';

// Nudges that the gap would hold back come later than foretold; the forecast speaks of when to walk.
const ward = testWard({ nudgeGapMin: 0, atOnceMin: 0 });
const fromMs = wall('19:00');
const toMs = wall('07:00');

/** What a diligent nurse tells of a duty; a clinician answers "still needed?"; the rest stays as it is. */
function doing({ kind, dueAt }: Duty, now: number): Telling | null {
  if (kind !== 'stillNeeded') return usualTelling(kind);
  return { kind: 'waived', body: { duty: kind, dueAt, reason: 'needed', until: now + 24 * hour } };
}

/** Wakes the ward whenever its index asks, and does at once all that a nudge asks for and what that makes due. */
function walked(run: WardNight): string[] {
  const visits = new Map<number, Set<string>>();
  let now = fromMs;
  for (let at = now; at < toMs; at = run.nextWake(now) ?? toMs) {
    now = Math.max(at, now);
    const asked = run.wake(now).flatMap((post) => (post.what === 'nudge' ? post.duties : []));
    const visit = visits.get(now) ?? new Set();
    for (let todo = asked; todo.length > 0; ) {
      for (const duty of todo) {
        visit.add(`${duty.lineId} ${duty.kind}`);
        const telling = doing(duty, now);
        if (telling)
          run.tell(duty.lineId, { at: now, told: now, by: 'nina', via: 'button', ...telling } as Entry);
      }
      todo = run.lines
        .flatMap((line) => dutiesOfLine(line, ward.policy, now))
        .filter((duty) => duty.dueAt <= now && doing(duty, now) !== null);
    }
    if (visit.size > 0) visits.set(now, visit);
  }
  return [...visits].map(([at, done]) => written(at, [...done]));
}

const written = (at: number, done: string[]) =>
  `${clock(at)} ${done.sort((a, b) => a.localeCompare(b)).join(', ')}`;

describe('the rounds foretold for a night', () => {
  it('are those that wake-ups ask for when each is done at once', () => {
    const staffed = fc.record({
      lines: fc.tuple(placedLine('a'), placedLine('b')).chain((two) => fc.constantFrom([two[0]], two)),
      acts: fc.array(fc.record({ line: fc.nat({ max: 1 }), act: careAct }), { maxLength: 8 }),
    });
    fc.assert(
      fc.property(staffed, ({ lines, acts }) => {
        const run = new WardNight(ward, lines);
        for (const { line, act } of acts) {
          const state = run.lines[line % run.lines.length];
          const entry = state && entryOf(act, state, run.logs.get(state.id) ?? [], ward, fromMs);
          if (state && entry) run.tell(state.id, entry);
        }
        const foretold = roundsBetween(run.lines, ward.policy, fromMs, toMs).map(({ at, duties }) =>
          written(
            at,
            duties.map(({ lineId, kind }) => `${lineId} ${kind}`),
          ),
        );
        // The last rounds may take along what is due after the night.
        const within = (rounds: string[]) => rounds.filter((round) => round < '06:45' || round >= '19:00');
        expect(within(walked(run))).toEqual(within(foretold));
      }),
      { numRuns: 150 },
    );
  });
});
