import type { DraftOf, EntryDraft } from '../../src/domain/record/entry.ts';
import { hour, LineLog, minute, type PlacedChanges, wall } from './line-builder.ts';
import * as fc from './properties.ts';

/** Something a person does to a line, as chance picks it; `entryOf` makes an entry of it. */
export type Act = {
  /** Time since the act before, ms. */
  waitMs: number;
  /** How long ago the thing happened when it is told, ms. */
  backMs: number;
} & (
  | { does: 'record'; draft: EntryDraft }
  /** Puts the entry `pick` (counted around the log) right: by so many ms, or takes it out. */
  | { does: 'amend'; pick: number; moveMs: number | null; volumeMl: number | null }
  /** Answers the open duty `pick` (counted around the list). */
  | { does: 'answer'; with: 'snoozed' | 'claimed' | 'cannot' | 'waived'; pick: number; forMs: number }
);

const draftOf = <K extends EntryDraft['kind']>(
  kind: K,
  body: fc.Arbitrary<DraftOf<K>['body']>,
): fc.Arbitrary<EntryDraft> => body.map((chosen) => ({ kind, body: chosen }) as EntryDraft);

const source = fc.record(
  {
    kind: fc.constantFrom('pressure bag' as const, 'syringe' as const),
    volumeMl: fc.integer({ min: 5, max: 500 }),
    rateMlPerH: fc.integer({ min: 1, max: 6 }),
  },
  { requiredKeys: ['kind'] },
);
const finding = fc.record(
  { swelling: fc.boolean(), soiled: fc.boolean(), cold: fc.boolean() },
  { requiredKeys: [] },
);

/** What a nurse records of a line that is in. */
export const careDraft: fc.Arbitrary<EntryDraft> = fc.oneof(
  {
    weight: 6,
    arbitrary: draftOf('flushed', fc.record({ volumeMl: fc.constantFrom(0.5, 1, 2) }, { requiredKeys: [] })),
  },
  {
    weight: 3,
    arbitrary: draftOf(
      'zeroed',
      fc.record({ openToAirMmHg: fc.integer({ min: -5, max: 5 }) }, { requiredKeys: [] }),
    ),
  },
  {
    weight: 2,
    arbitrary: draftOf(
      'fastFlushTested',
      fc.record({ verdict: fc.constantFrom('normal' as const, 'overdamped' as const) }),
    ),
  },
  { weight: 2, arbitrary: draftOf('siteChecked', fc.record({ finding })) },
  { weight: 1, arbitrary: draftOf('redressed', fc.record({ finding }, { requiredKeys: [] })) },
  {
    weight: 2,
    arbitrary: draftOf(
      'sampled',
      fc.record({ volumeMl: fc.constantFrom(0.5, 1), flushed: fc.boolean() }, { requiredKeys: ['volumeMl'] }),
    ),
  },
  { weight: 1, arbitrary: draftOf('disturbed', fc.constant({ how: 'moved' as const })) },
  { weight: 1, arbitrary: draftOf('faultOpened', fc.record({ sign: fc.constantFrom('flat', 'spiky') })) },
  { weight: 1, arbitrary: draftOf('faultClosed', fc.record({ resolved: fc.boolean() })) },
  {
    weight: 1,
    arbitrary: draftOf(
      'flushModeChanged',
      fc.record({ mode: fc.constantFrom('manual' as const, 'continuous' as const), source }),
    ),
  },
  { weight: 1, arbitrary: draftOf('sourceChanged', fc.record({ source, newSet: fc.boolean() })) },
  {
    weight: 1,
    arbitrary: draftOf(
      'sourceChecked',
      fc.record({ volumeLeftMl: fc.integer({ min: 0, max: 100 }) }, { requiredKeys: [] }),
    ),
  },
  { weight: 1, arbitrary: draftOf('assigned', fc.record({ nurse: fc.constantFrom('noor', 'nell') })) },
);

/** What is told of a line that comes out and of one that is out; refused at any other time. */
export const removalDraft: fc.Arbitrary<EntryDraft> = fc.oneof(
  draftOf(
    'removed',
    fc.record(
      {
        reason: fc.constantFrom(
          'planned' as const,
          'occluded' as const,
          'transfer' as const,
          'death' as const,
        ),
        tipWhole: fc.boolean(),
        finding,
      },
      { requiredKeys: ['reason'] },
    ),
  ),
  draftOf('holdEnded', fc.record({ oozing: fc.boolean() })),
  draftOf(
    'pulseChecked',
    fc.record({ pulse: fc.constantFrom('present' as const, 'weak' as const, 'absent' as const) }),
  ),
);

const waitMs = fc.oneof(
  fc.integer({ min: 0, max: 90 }).map((minutes) => minutes * minute),
  fc.integer({ min: 0, max: 40 * minute }),
);
const timely = { waitMs, backMs: fc.constant(0) };
/** Told when it happened, or up to two hours late, or with a clock a little fast. */
const late = {
  waitMs,
  backMs: fc.oneof({ weight: 2, arbitrary: fc.constant(0) }, fc.integer({ min: -2 * minute, max: 2 * hour })),
};

/** Care told when it is done. */
export const careAct: fc.Arbitrary<Act> = fc.record({
  does: fc.constant('record' as const),
  draft: careDraft,
  ...timely,
});

/** Care told when it is done or late, and lines coming out. */
export const lateAct: fc.Arbitrary<Act> = fc.record({
  does: fc.constant('record' as const),
  draft: fc.oneof({ weight: 9, arbitrary: careDraft }, { weight: 2, arbitrary: removalDraft }),
  ...late,
});

export const amendAct: fc.Arbitrary<Act> = fc.record({
  does: fc.constant('amend' as const),
  pick: fc.nat({ max: 40 }),
  moveMs: fc.oneof(fc.constant(null), fc.integer({ min: -2 * hour, max: 2 * hour })),
  volumeMl: fc.constantFrom(null, 0.5, 1, 3),
  ...timely,
});

export const answerAct: fc.Arbitrary<Act> = fc.record({
  does: fc.constant('answer' as const),
  with: fc.constantFrom('snoozed' as const, 'claimed' as const, 'cannot' as const, 'waived' as const),
  pick: fc.nat({ max: 9 }),
  forMs: fc.integer({ min: 5, max: 300 }).map((minutes) => minutes * minute),
  ...timely,
});

/** A line placed in the afternoon or evening before the night, in a dog or a cat, flushed by hand or by a pump. */
export const placedLine = (id: string): fc.Arbitrary<LineLog> =>
  fc
    .record({
      species: fc.constantFrom('dog' as const, 'cat' as const),
      bleeding: fc.boolean(),
      pump: fc.boolean(),
      agoMs: fc.integer({ min: 0, max: 7 * hour }),
    })
    .map(({ species, bleeding, pump, agoMs }) => {
      const changes: PlacedChanges = {
        patient: { name: id, species, weightKg: 5, bleeding },
        ...(pump
          ? { flushMode: 'continuous', source: { kind: 'pressure bag', volumeMl: 60, rateMlPerH: 3 } }
          : {}),
      };
      return new LineLog(wall('19:00') - agoMs, changes, id);
    });
