import type { LineCopy, WardCopy } from '../../src/app/ward-copy.ts';
import { foldLine } from '../../src/domain/fold/fold-line.ts';
import type { Entry, EntryKind } from '../../src/domain/record/entry.ts';
import { entryKinds } from '../../src/domain/record/entry.ts';
import { wardEntryKinds } from '../../src/domain/ward/ward-entry.ts';
import { entryOf as entryOfAct } from '../domain/entry-of-act.ts';
import { entryOf, wardEntryOf } from '../redis/arbitrary-entries.ts';
import { type Act, amendAct, answerAct, careAct, lateAct, placedLine } from '../support/arbitraries.ts';
import { LineLog, testWard, wall } from '../support/line-builder.ts';
import * as fc from '../support/properties.ts';

const act: fc.Arbitrary<Act> = fc.oneof(careAct, lateAct, amendAct, answerAct);

/** A line as people tell it, by chance, through the door that takes or refuses what they tell. */
export const recordedLine = (id: string): fc.Arbitrary<LineCopy> =>
  fc.tuple(placedLine(id), fc.array(act, { maxLength: 25 }), fc.boolean()).map(([log, acts, listed]) => {
    const ward = testWard();
    const entries: Entry[] = [...log.entries];
    let now = log.entries[0]?.told ?? 0;
    for (const one of acts) {
      now += one.waitMs;
      const entry = entryOfAct(one, foldLine(id, entries), entries, ward, now);
      if (entry) entries.push(entry);
    }
    return { id, listed, entries };
  });

const laterKinds = entryKinds.filter((kind): kind is EntryKind => kind !== 'placed' && kind !== 'amended');

/** A line with entries of any kind, any value that is allowed, after its placing. */
const anyLine = (id: string): fc.Arbitrary<LineCopy> =>
  fc
    .tuple(
      entryOf('placed'),
      fc.array(
        fc.constantFrom(...laterKinds).chain((kind) => entryOf(kind)),
        { maxLength: 12 },
      ),
      fc.boolean(),
    )
    .map(([placed, rest, listed]) => ({
      id,
      listed,
      entries: [{ ...placed, at: 0 }, ...rest],
    }));

/** A ward's record by chance: logs as they are told, and logs of anything the schemas allow. */
export const wardCopy: fc.Arbitrary<WardCopy> = fc
  .tuple(
    fc.array(
      fc.constantFrom(...wardEntryKinds).chain((kind) => wardEntryOf(kind)),
      { maxLength: 5 },
    ),
    fc.array(recordedLine('told'), { maxLength: 1 }),
    fc.array(anyLine('any'), { maxLength: 1 }),
  )
  .map(([wardEntries, told, any]) => ({ wardId: 'T0TEST.C0WARD', wardEntries, lines: [...told, ...any] }));

/** An instant of an export. */
export const exportInstant = fc.integer({ min: 0, max: 4_102_444_800_000 });

/** An invented ward of two lines, every value chosen, as it stands at 03:00. */
export function nightWard(): { copy: WardCopy; now: number } {
  const biscuit = new LineLog('20:00', { indication: 'septic abdomen' }, 'line-1')
    .inOrder('20:05')
    .add('flushed', '21:00', { volumeMl: 1 })
    .add('reading', '02:00', {
      sapMmHg: 118,
      dapMmHg: 64,
      mapMmHg: 82,
      heartRatePerMin: 96,
      cuff: { sapMmHg: 110 },
    })
    .add('amended', '02:10', { target: 5, body: { sapMmHg: 116 } })
    .add('noted', '02:20', { text: '=HYPERLINK("x"), said "nell"' });
  const miso = new LineLog(
    '18:00',
    {
      patient: { name: 'Miso', species: 'cat', weightKg: 4.2 },
      site: 'median caudal',
      gauge: 24,
      nurse: 'noor',
    },
    'line-2',
  )
    .inOrder('18:05')
    .add('zeroed', '22:00', { openToAirMmHg: -3 })
    .add('removed', '01:30', { reason: 'dwell limit', tipWhole: true });
  const head = { at: wall('19:00'), told: wall('19:00'), by: 'vet', via: 'command' } as const;
  return {
    now: wall('03:00'),
    copy: {
      wardId: 'T0TEST.C0WARD',
      wardEntries: [
        { ...head, kind: 'policySet', body: { policy: testWard().policy } },
        { ...head, kind: 'onCallSet', body: { user: 'vet' } },
        {
          ...head,
          at: wall('18:45'),
          told: wall('18:45'),
          by: 'bot',
          via: 'bot',
          kind: 'handedOver',
          body: { for: wall('19:00'), auto: true, lines: 1 },
        },
      ],
      lines: [
        { id: 'line-2', listed: true, entries: miso.entries },
        { id: 'line-1', listed: true, entries: biscuit.entries },
      ],
    },
  };
}
