import { type ByKind, byKind } from '../../domain/by-kind.ts';
import {
  type Entry,
  type EntryKind,
  type EntryOf,
  type SiteFinding,
  siteFindingSchema,
} from '../../domain/record/entry.ts';
import { awayPlaces } from '../../domain/record/spells.ts';
import { type AmendWay, byVerb, offering, only, plainHint, type Stood } from './amend-way.ts';
import { check } from './check.ts';
import { flush } from './flush.ts';
import { level } from './level.ts';
import { moved } from './moved.ts';
import { pulse } from './pulse.ts';
import { reading } from './reading.ts';
import { redress } from './redress.ts';
import { remove } from './remove.ts';
import { sample } from './sample.ts';
import { source } from './source.ts';
import { test } from './test.ts';
import { transducer } from './transducer.ts';
import { ofSource } from './values-of-draft.ts';
import { type Field, fieldsOf } from './verb.ts';
import { zero } from './zero.ts';

const sourceIds = ['kind', 'volume', 'rate', 'pressure', 'heparin'] as const;

/** The way of entries of each kind; null of one whose values are recorded anew instead. */
type Ways<Kind extends EntryKind> = ByKind<EntryOf<Kind>, [], AmendWay | null>;

const pressures: Ways<'zeroed' | 'levelled' | 'fastFlushTested' | 'reading'> = {
  zeroed: ({ body }) =>
    byVerb(
      zero,
      'zeroed',
      { openToAir: body.openToAirMmHg },
      { fields: only(zero, 'openToAir'), fixed: { level: 'not levelled' } },
    ),
  levelled: ({ body }) => byVerb(level, 'levelled', heightOf(body.belowHeartCm)),
  fastFlushTested: ({ body }) => testWay(body),
  reading: ({ body: { sapMmHg: sap, dapMmHg: dap, mapMmHg: map, heartRatePerMin: rate, cuff } }) =>
    byVerb(reading, 'reading', {
      sap,
      dap,
      map,
      rate,
      cuffSap: cuff?.sapMmHg,
      cuffDap: cuff?.dapMmHg,
      cuffMap: cuff?.mapMmHg,
    }),
};

const flushes: Ways<'flushed' | 'flushModeChanged' | 'sourceChanged' | 'sourceChecked' | 'sampled'> = {
  flushed: ({ body }) => byVerb(flush, 'flushed', { volume: body.volumeMl, heparin: body.heparinUPerMl }),
  flushModeChanged: ({ body }) =>
    body.mode === 'manual'
      ? null
      : byVerb(source, 'flushModeChanged', ofSource(body.source), {
          fields: only(source, ...sourceIds),
          fixed: { what: 'to continuous' },
        }),
  sourceChanged: ({ body }) =>
    byVerb(
      source,
      'sourceChanged',
      { what: body.newSet ? 'changed with new set' : 'changed', ...ofSource(body.source) },
      { fields: offering(source.fields, 'what', (value) => value.startsWith('changed')) },
    ),
  sourceChecked: ({ body }) =>
    byVerb(
      source,
      'sourceChecked',
      { pressure: body.pressureMmHg, volume: body.volumeLeftMl },
      { fields: only(source, 'volume', 'pressure').map(plainHint), fixed: { what: 'checked' } },
    ),
  sampled: ({ body }) =>
    byVerb(sample, 'sampled', {
      volume: body.volumeMl,
      discard: body.discardMl,
      discardReturned: chosen(body.discardReturned, 'returned', 'not returned'),
      flushed: chosen(body.flushed, 'flushed', 'not flushed'),
    }),
};

const looks: Ways<'redressed' | 'siteChecked' | 'removed' | 'pulseChecked' | 'holdEnded' | 'noted'> = {
  redressed: ({ body }) => byVerb(redress, 'redressed', lookOf(body.finding)),
  siteChecked: ({ body }) =>
    byVerb(
      check,
      'siteChecked',
      { ...lookOf(body.finding), note: body.note },
      { fields: offering(check.fields, 'site', (value) => value !== 'site not looked at') },
    ),
  removed: ({ body }) =>
    byVerb(remove, 'removed', { reason: body.reason, tip: tipOf(body), ...lookOf(body.finding) }),
  pulseChecked: ({ body }) =>
    byVerb(pulse, 'pulseChecked', { pulse: body.pulse, warmth: chosen(body.cold, 'cold', 'warm') }),
  holdEnded: ({ body }) => ({
    fields: [holdField],
    values: { oozing: body.oozing ? 'oozing' : 'not oozing' },
    bodyOf: ({ oozing }) => ({ body: { oozing: oozing === 'oozing' } }),
  }),
  noted: ({ body }) => ({
    fields: [{ kind: 'text', id: 'text', label: 'Note', maxLength: 500, required: true }],
    values: { text: body.text },
    bodyOf: ({ text }) => ({ body: { text } }),
  }),
};

const moves: Ways<'transducerJoined' | 'capped' | 'leftWard' | 'arrived' | 'returned' | 'disturbed'> = {
  transducerJoined: ({ body }) =>
    byVerb(
      transducer,
      'transducerJoined',
      { set: body.newSet ? 'new' : 'same', mode: body.flushMode, ...ofSource(body.source) },
      { fields: only(transducer, 'set', 'mode', ...sourceIds), fixed: { what: 'joined' } },
    ),
  capped: ({ body }) =>
    byVerb(
      transducer,
      'capped',
      { flushed: chosen(body.flushed, 'flushed', 'not flushed') },
      { fields: only(transducer, 'flushed'), fixed: { what: 'capped' } },
    ),
  leftWard: ({ body }) =>
    byVerb(
      moved,
      'leftWard',
      { how: body.to, with: body.with },
      { fields: offering(only(moved, 'how', 'with'), 'how', isOneOf(awayPlaces)) },
    ),
  arrived: ({ body }) => withWay('arrived', body.with, 'arrived'),
  returned: ({ body }) => withWay('returned', body.with, 'back'),
  disturbed: ({ body }) =>
    byVerb(
      moved,
      'disturbed',
      { how: body.how, lost: body.bloodLostMl },
      {
        fields: offering(
          only(moved, 'how', 'lost'),
          'how',
          isOneOf(['moved', 'repositioned', 'disconnected']),
        ),
      },
    ),
};

const none = () => null;

const ways: ByKind<Entry, [], AmendWay | null> = {
  ...pressures,
  ...flushes,
  ...looks,
  ...moves,
  placed: none,
  faultOpened: none,
  faultStep: none,
  faultClosed: none,
  assigned: none,
  claimed: none,
  snoozed: none,
  waived: none,
  targetsSet: none,
  targetsEnded: none,
  amended: none,
  nudged: none,
  escalated: none,
};

/** How an entry's values are put right; null of a kind that has none, or whose values are recorded anew instead. */
export function amendWay(entry: Entry): AmendWay | null {
  return byKind(ways, entry);
}

/** With whom a patient is, from a step of its move on. */
function withWay(kind: 'arrived' | 'returned', user: string | undefined, how: string): AmendWay {
  return byVerb(moved, kind, { with: user }, { fields: only(moved, 'with'), fixed: { how } });
}

function isOneOf(values: readonly string[]): (value: string) => boolean {
  return (value) => values.includes(value);
}

const holdField: Field = {
  kind: 'choice',
  id: 'oozing',
  label: 'The puncture after the hold',
  required: true,
  options: [
    { value: 'not oozing', label: 'Not oozing' },
    { value: 'oozing', label: 'Still oozing, held again' },
  ],
};

function heightOf(belowHeartCm: number | undefined): Stood {
  if (belowHeartCm === undefined || belowHeartCm === 0) return {};
  return { height: Math.abs(belowHeartCm), where: belowHeartCm > 0 ? 'below' : 'above' };
}

function chosen(given: boolean | undefined, yes: string, no: string): string | undefined {
  return given === undefined ? undefined : given ? yes : no;
}

function lookOf(finding: SiteFinding | undefined): Stood {
  if (!finding) return { site: 'site not looked at' };
  const findings = siteFindingSchema.keyof().options.filter((one) => finding[one]);
  return findings.length === 0 ? { site: 'nothing amiss' } : { site: 'something amiss', findings };
}

function tipOf({ tipWhole, pieceFound }: EntryOf<'removed'>['body']): string {
  if (tipWhole === undefined) return 'tip not looked at';
  return tipWhole ? 'tip whole' : pieceFound ? 'every piece found' : 'tip not whole';
}

/** What the strip was measured to is measured again; of a strip read from a picture only the heart rate is a person's. */
function testWay(body: EntryOf<'fastFlushTested'>['body']): AmendWay {
  const { verdict, heartRatePerMin: rate, strip, read } = body;
  if (read || (strip && strip.squareMm === null))
    return byVerb(test, 'fastFlushTested', { rate }, { fields: only(test, 'rate'), fixed: { verdict } });
  if (!strip)
    return byVerb(
      test,
      'fastFlushTested',
      { verdict, rate },
      { fields: only(test, 'verdict', 'rate').map(plainHint) },
    );
  const mm = (squares: number | null | undefined) =>
    squares === null || squares === undefined
      ? undefined
      : Number((squares * (strip.squareMm ?? 1)).toPrecision(6));
  const counts = test.fields.find(({ id }) => id === 'cycles');
  return byVerb(
    test,
    'fastFlushTested',
    {
      verdict,
      rate,
      paper: strip.paperMmPerS,
      cycle: mm(strip.cycleLength),
      cycles: counts?.kind === 'choice' ? counts.options[strip.cycles - 1]?.value : undefined,
      heights: strip.definition,
      first: mm(strip.heights?.first),
      next: mm(strip.heights?.next),
      readTo: strip.squareMm === 5 ? 'large squares' : 'small squares',
    },
    { fields: fieldsOf(test, true) },
  );
}
