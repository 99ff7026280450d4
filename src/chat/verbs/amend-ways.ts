import { type Entry, type EntryOf, type SiteFinding, siteFindingSchema } from '../../domain/record/entry.ts';
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

/** How an entry's values are put right; null of a kind that has none, or whose values are recorded anew instead. */
export function amendWay(entry: Entry): AmendWay | null {
  switch (entry.kind) {
    case 'zeroed':
      return byVerb(
        zero,
        'zeroed',
        { openToAir: entry.body.openToAirMmHg },
        { fields: only(zero, 'openToAir'), fixed: { level: 'not levelled' } },
      );
    case 'levelled':
      return byVerb(level, 'levelled', heightOf(entry.body.belowHeartCm));
    case 'fastFlushTested':
      return testWay(entry.body);
    case 'flushed':
      return byVerb(flush, 'flushed', {
        volume: entry.body.volumeMl,
        heparin: entry.body.heparinUPerMl,
      });
    case 'flushModeChanged':
    case 'sourceChanged':
    case 'sourceChecked':
      return sourceWay(entry);
    case 'redressed':
      return byVerb(redress, 'redressed', lookOf(entry.body.finding));
    case 'siteChecked':
      return byVerb(
        check,
        'siteChecked',
        { ...lookOf(entry.body.finding), note: entry.body.note },
        { fields: offering(check.fields, 'site', (value) => value !== 'site not looked at') },
      );
    case 'sampled':
      return byVerb(sample, 'sampled', {
        volume: entry.body.volumeMl,
        discard: entry.body.discardMl,
        discardReturned: chosen(entry.body.discardReturned, 'returned', 'not returned'),
        flushed: chosen(entry.body.flushed, 'flushed', 'not flushed'),
      });
    case 'reading': {
      const { sapMmHg: sap, dapMmHg: dap, mapMmHg: map, heartRatePerMin: rate, cuff } = entry.body;
      return byVerb(reading, 'reading', {
        sap,
        dap,
        map,
        rate,
        cuffSap: cuff?.sapMmHg,
        cuffDap: cuff?.dapMmHg,
        cuffMap: cuff?.mapMmHg,
      });
    }
    case 'transducerJoined':
      return byVerb(
        transducer,
        'transducerJoined',
        {
          set: entry.body.newSet ? 'new' : 'same',
          mode: entry.body.flushMode,
          ...ofSource(entry.body.source),
        },
        { fields: only(transducer, 'set', 'mode', ...sourceIds), fixed: { what: 'joined' } },
      );
    case 'capped':
      return byVerb(
        transducer,
        'capped',
        { flushed: chosen(entry.body.flushed, 'flushed', 'not flushed') },
        { fields: only(transducer, 'flushed'), fixed: { what: 'capped' } },
      );
    case 'leftWard':
    case 'arrived':
    case 'returned':
    case 'disturbed':
    case 'removed':
    case 'pulseChecked':
    case 'holdEnded':
    case 'noted':
      return lateWay(entry);
    case 'placed':
    case 'faultOpened':
    case 'faultStep':
    case 'faultClosed':
    case 'assigned':
    case 'claimed':
    case 'snoozed':
    case 'waived':
    case 'targetsSet':
    case 'targetsEnded':
    case 'amended':
    case 'nudged':
    case 'escalated':
      return null;
  }
}

/** Of the flush source. */
function sourceWay(entry: EntryOf<'flushModeChanged' | 'sourceChanged' | 'sourceChecked'>): AmendWay | null {
  switch (entry.kind) {
    case 'flushModeChanged':
      if (entry.body.mode === 'manual') return null;
      return byVerb(source, 'flushModeChanged', ofSource(entry.body.source), {
        fields: only(source, ...sourceIds),
        fixed: { what: 'to continuous' },
      });
    case 'sourceChanged': {
      const what = entry.body.newSet ? 'changed with new set' : 'changed';
      return byVerb(
        source,
        'sourceChanged',
        { what, ...ofSource(entry.body.source) },
        { fields: offering(source.fields, 'what', (value) => value.startsWith('changed')) },
      );
    }
    case 'sourceChecked':
      return byVerb(
        source,
        'sourceChecked',
        { pressure: entry.body.pressureMmHg, volume: entry.body.volumeLeftMl },
        { fields: only(source, 'volume', 'pressure').map(plainHint), fixed: { what: 'checked' } },
      );
  }
}

/** Of moves, of the line coming out, and what is recorded in words. */
function lateWay(
  entry: EntryOf<
    'leftWard' | 'arrived' | 'returned' | 'disturbed' | 'removed' | 'pulseChecked' | 'holdEnded' | 'noted'
  >,
): AmendWay {
  switch (entry.kind) {
    case 'leftWard':
      return byVerb(
        moved,
        'leftWard',
        { how: entry.body.to, with: entry.body.with },
        {
          fields: offering(only(moved, 'how', 'with'), 'how', (value) =>
            awayPlaces.some((place) => place === value),
          ),
        },
      );
    case 'arrived':
    case 'returned':
      return byVerb(
        moved,
        entry.kind,
        { with: entry.body.with },
        { fields: only(moved, 'with'), fixed: { how: entry.kind === 'arrived' ? 'arrived' : 'back' } },
      );
    case 'disturbed':
      return byVerb(
        moved,
        'disturbed',
        { how: entry.body.how, lost: entry.body.bloodLostMl },
        {
          fields: offering(only(moved, 'how', 'lost'), 'how', (value) =>
            ['moved', 'repositioned', 'disconnected'].includes(value),
          ),
        },
      );
    case 'removed':
      return byVerb(remove, 'removed', {
        reason: entry.body.reason,
        tip: tipOf(entry.body),
        ...lookOf(entry.body.finding),
      });
    case 'pulseChecked':
      return byVerb(pulse, 'pulseChecked', {
        pulse: entry.body.pulse,
        warmth: chosen(entry.body.cold, 'cold', 'warm'),
      });
    case 'holdEnded':
      return {
        fields: [holdField],
        values: { oozing: entry.body.oozing ? 'oozing' : 'not oozing' },
        bodyOf: ({ oozing }) => ({ body: { oozing: oozing === 'oozing' } }),
      };
    case 'noted':
      return {
        fields: [{ kind: 'text', id: 'text', label: 'Note', maxLength: 500, required: true }],
        values: { text: entry.body.text },
        bodyOf: ({ text }) => ({ body: { text } }),
      };
  }
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
