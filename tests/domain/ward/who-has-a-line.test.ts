import { describe, expect, it } from 'vitest';
import { nurseFor, nurseOf, onCallFor } from '../../../src/domain/ward/on-call.ts';
import type { WardDraft, WardEntry } from '../../../src/domain/ward/ward-entry.ts';
import { foldWardNext, type WardState } from '../../../src/domain/ward/ward-state.ts';
import { hour, LineLog, minute, testWard, wall } from '../../support/line-builder.ts';
import * as fc from '../../support/properties.ts';

// The rule is ours, written down in docs/decisions/010: common practice, no source.

const entry = (at: number, by: string, draft: WardDraft): WardEntry =>
  ({ at, told: at, by, via: 'command', ...draft }) as WardEntry;
const ward = (...entries: WardEntry[]): WardState => entries.reduce(foldWardNext, testWard());
const posted = (forAt: string, auto = true) =>
  entry(wall(forAt) - (auto ? 15 * minute : 0), 'bot', {
    kind: 'handedOver',
    body: { for: wall(forAt), auto, lines: 1 },
  });
const accepted = (at: string, forAt: string, by: string) =>
  entry(wall(at), by, { kind: 'handoverAccepted', body: { for: wall(forAt) } });
const cover = (at: string, away: string, by: string, until: string) =>
  entry(wall(at), 'vera', { kind: 'coverSet', body: { away, by, until: wall(until) } });

/** A line placed by nina at 16:00 in the day shift, which ends 19:00. */
const placed = () => new LineLog('16:00', { nurse: 'nina' });
const planned = (toldAt: string, nurse = 'ines') =>
  placed().add('assigned', toldAt, { nurse, from: wall('19:00') });

describe('a line given to somebody for the coming shift', () => {
  it.each<[string, WardState, LineLog, string, string]>([
    ['stays where it is until the shift begins', ward(), planned('18:30'), '18:59', 'nina'],
    ['is theirs from its start', ward(), planned('18:30'), '19:00', 'ines'],
    ['is theirs when nobody accepts the handover', ward(posted('19:00')), planned('18:30'), '23:00', 'ines'],
    [
      'is not taken over by whoever accepts that shift after it began',
      ward(posted('19:00'), accepted('19:05', '19:00', 'nell')),
      planned('18:30'),
      '19:06',
      'ines',
    ],
    [
      'nor by whoever accepts it before: it stays with the day’s nurse until then',
      ward(posted('19:00'), accepted('18:55', '19:00', 'nell')),
      planned('18:30'),
      '18:56',
      'nina',
    ],
    [
      'is with whoever accepted before it was given, until the shift begins',
      ward(posted('19:00'), accepted('18:50', '19:00', 'nell')),
      planned('18:55'),
      '18:56',
      'nell',
    ],
    [
      'then is theirs',
      ward(posted('19:00'), accepted('18:50', '19:00', 'nell')),
      planned('18:55'),
      '19:00',
      'ines',
    ],
    [
      'is not taken over by a handover that was asked for in the hour before the shift',
      ward(posted('18:40', false), accepted('19:10', '18:40', 'nell')),
      planned('18:30'),
      '19:11',
      'ines',
    ],
    [
      'is taken over by a handover asked for in the middle of the shift',
      ward(posted('02:00', false), accepted('02:05', '02:00', 'nell')),
      planned('18:30'),
      '02:06',
      'nell',
    ],
    [
      'is taken over by a handover asked for in the middle of the shift before it',
      ward(posted('16:30', false), accepted('18:50', '16:30', 'nell')),
      planned('16:40'),
      '18:51',
      'nell',
    ],
    [
      'is taken over by whoever accepts the shift after',
      ward(posted('2026-11-25 07:00'), accepted('2026-11-25 07:02', '2026-11-25 07:00', 'dora')),
      planned('18:30'),
      '2026-11-25 07:03',
      'dora',
    ],
    [
      'may be given to another at once within the shift',
      ward(),
      planned('18:30').add('assigned', '20:00', { nurse: 'olga' }),
      '20:01',
      'olga',
    ],
    [
      'is theirs from the shift’s start though it was given to another until then',
      ward(),
      planned('18:30').add('assigned', '18:40', { nurse: 'olga' }),
      '19:00',
      'ines',
    ],
    [
      'goes by what was said last for the shift',
      ward(),
      planned('18:30').add('assigned', '18:35', { nurse: 'olga', from: wall('19:00') }),
      '19:00',
      'olga',
    ],
    [
      'is not theirs when that is struck',
      ward(),
      planned('18:30').add('amended', '18:40', { target: 2, strike: 'wrong line' }),
      '19:00',
      'nina',
    ],
  ])('%s', (_title, state, log, at, expected) => {
    expect(nurseOf(state, log.state(), wall(at))).toBe(expected);
  });

  it('is remembered for three shifts', () => {
    const log = placed();
    for (const day of [24, 25, 26, 27])
      log.add('assigned', `2026-11-${day} 18:30`, { nurse: `n${day}`, from: wall(`2026-11-${day} 19:00`) });
    expect(log.state().plannedNurses.map(({ nurse }) => nurse)).toEqual(['n25', 'n26', 'n27']);
  });
});

describe('a cover', () => {
  it('has what is asked of one go to the other, until it ends', () => {
    const state = ward(cover('17:00', 'nina', 'teo', '23:00'));
    const at = (clock: string) => nurseFor(state, placed().state(), wall(clock));
    expect(at('22:59')).toEqual({ user: 'teo', insteadOf: 'nina' });
    expect(at('23:00')).toEqual({ user: 'nina', insteadOf: null });
  });

  it('of the clinician on call has the stand-in on call for them', () => {
    const state = ward(cover('17:00', 'vet', 'mika', '23:00'));
    expect(onCallFor(state, wall('20:00'))).toEqual({ user: 'mika', insteadOf: 'vet' });
    expect(onCallFor(state, wall('23:00'))).toEqual({ user: 'vet', insteadOf: null });
  });

  it('of somebody who stands in and goes away too leads on to the next', () => {
    const state = ward(cover('17:00', 'nina', 'teo', '23:00'), cover('18:00', 'teo', 'olga', '21:00'));
    const at = (clock: string) => nurseOf(state, placed().state(), wall(clock));
    expect([at('17:30'), at('20:00'), at('21:00')]).toEqual(['teo', 'olga', 'teo']);
  });

  it('by somebody who was away before leads on to whoever stands in there', () => {
    const state = ward(cover('17:00', 'teo', 'olga', '21:00'), cover('18:00', 'nina', 'teo', '23:00'));
    const at = (clock: string) => nurseOf(state, placed().state(), wall(clock));
    expect([at('20:00'), at('22:00')]).toEqual(['olga', 'teo']);
  });

  it('is replaced by a later one about the same person, and ended by the person themselves', () => {
    const first = cover('17:00', 'nina', 'teo', '23:00');
    const at = (...more: WardEntry[]) => nurseOf(ward(first, ...more), placed().state(), wall('20:00'));
    expect(at(cover('18:00', 'nina', 'olga', '22:00'))).toBe('olga');
    expect(at(cover('18:00', 'nina', 'nina', '22:00'))).toBe('nina');
    expect(at(cover('18:00', 'nina', 'olga', '17:59'))).toBe('nina');
  });

  it('by somebody who was away themselves and covered by the one who goes has them back', () => {
    const state = ward(cover('17:00', 'nina', 'teo', '23:00'), cover('18:00', 'teo', 'nina', '23:00'));
    expect(state.covers.map(({ away, by }) => [away, by])).toEqual([['teo', 'nina']]);
    expect(nurseOf(state, placed().state(), wall('20:00'))).toBe('nina');
  });
});

describe('whatever is told', () => {
  const person = fc.constantFrom('nina', 'teo', 'olga', 'ines');
  const minutes = (max: number) => fc.integer({ min: 0, max }).map((count) => count * minute);
  const start = wall('17:00');

  it('covers never run in a circle, and whoever is told is there', () => {
    const told = fc.array(fc.record({ at: minutes(600), away: person, by: person, lastsMs: minutes(300) }), {
      maxLength: 20,
    });
    fc.assert(
      fc.property(told, minutes(900), (covers, laterMs) => {
        const state = ward(
          ...covers
            .toSorted((a, b) => a.at - b.at)
            .map(({ at, away, by, lastsMs }) =>
              entry(start + at, 'vera', {
                kind: 'coverSet',
                body: { away, by, until: start + at + lastsMs },
              }),
            ),
        );
        const now = start + 600 * minute + laterMs;
        for (const at of [now - 11 * hour, now - 5 * hour, now]) {
          const { user } = nurseFor(state, placed().state(), at);
          expect(
            state.covers.some(({ away, at: from, until }) => away === user && from <= at && at < until),
          ).toBe(false);
        }
      }),
    );
  });

  /** The same rule the other way round: what happens is gone through in order, and each says who has the line from then on. */
  it('a line is with whom it is when all that happened is gone through in order', () => {
    const starts = ['19:00', '2026-11-25 07:00', '2026-11-25 19:00'].map(wall);
    const act = fc.record({
      at: fc.integer({ min: 0, max: 1_500 }).map((count) => start + count * minute + 7_000),
      does: fc.constantFrom('give' as const, 'plan' as const, 'accept' as const),
      who: person,
    });
    fc.assert(
      fc.property(fc.array(act, { maxLength: 12 }), minutes(1_600), (unordered, laterMs) => {
        const acts = [...new Map(unordered.map((one) => [one.at, one])).values()].sort((a, b) => a.at - b.at);
        const now = start + laterMs + 9_000;
        const log = placed();
        const wardEntries: WardEntry[] = [];
        let withNow = 'nina';
        const plans = new Map<number, string>();
        const acceptedFor = new Set<number>();
        const begun = new Set<number>();
        const begin = (until: number) => {
          for (const one of starts)
            if (one <= until && !begun.has(one)) {
              begun.add(one);
              withNow = plans.get(one) ?? withNow;
            }
        };
        for (const { at, does, who } of acts.filter((one) => one.at <= now)) {
          begin(at);
          const coming = starts.find((one) => one > at);
          if (does === 'give') {
            log.add('assigned', at, { nurse: who });
            withNow = who;
          } else if (does === 'plan' && coming) {
            log.add('assigned', at, { nurse: who, from: coming });
            plans.set(coming, who);
          } else if (does === 'accept') {
            // The handover of the shift that begins within the hour, else of the one that runs.
            const shift = coming && coming - at <= hour ? coming : starts.findLast((one) => one <= at);
            if (shift === undefined || acceptedFor.has(shift)) continue;
            acceptedFor.add(shift);
            wardEntries.push(
              entry(shift - 15 * minute, 'bot', {
                kind: 'handedOver',
                body: { for: shift, auto: true, lines: 1 },
              }),
              entry(at, who, { kind: 'handoverAccepted', body: { for: shift } }),
            );
            if (!plans.has(shift)) withNow = who;
          }
        }
        begin(now);
        expect(nurseOf(ward(...wardEntries), log.state(), now)).toBe(withNow);
      }),
      { numRuns: 400 },
    );
  });
});
