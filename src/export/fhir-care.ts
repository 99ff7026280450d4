import type { Entry } from '../domain/record/entry.ts';
import { part, sourceParts } from './fhir-source.ts';
import { inWords, quantity } from './fhir-values.ts';

/** What was done to a line, and what was measured while doing it. */
export interface Care {
  /** The act, in words. */
  act: string;
  /** What was measured, in words, with its value or its parts. */
  measured?: Pick<fhir4.Observation, 'valueQuantity' | 'component'> & { what: string };
}

/**
 * Care that another system should see, of one entry; null of what it should not, and of entries that are exported otherwise. A
 * redress gives its act here; what was seen at it is an observation of its own.
 */
export function careOf(entry: Entry): Care | null {
  switch (entry.kind) {
    case 'zeroed':
      return {
        act: 'Zeroing of the line',
        ...measured('Monitor with the line open to air, before zeroing', entry.body.openToAirMmHg, mmHg),
      };
    case 'levelled':
      return {
        act: 'Levelling of the transducer with the heart',
        ...measured('Transducer found below the heart (negative: above)', entry.body.belowHeartCm, cm),
      };
    case 'flushed': {
      const { volumeMl, usual, heparinUPerMl } = entry.body;
      // What nobody measured must not look measured elsewhere.
      const what = usual ? 'Volume flushed by hand, taken as the usual one' : 'Volume flushed by hand';
      const heparin = heparinUPerMl === undefined ? '' : `, heparin ${heparinUPerMl} U/mL`;
      return { act: `Flush of the line by hand${heparin}`, ...measured(what, volumeMl, ml) };
    }
    case 'redressed':
      return { act: 'Redress of the line' };
    case 'sampled': {
      const { volumeMl, discardMl, discardReturned, flushed, flushMl, flushUsual } = entry.body;
      return {
        act: `Blood sample by the line, ${flushedAfter(flushed)} after`,
        measured: {
          what: 'Blood drawn by the line',
          component: [
            ...part('Sample', volumeMl, ml),
            ...part('Discard', discardMl, ml),
            ...(discardReturned === undefined
              ? []
              : [{ code: inWords('Discard given back'), valueBoolean: discardReturned }]),
            ...part(flushUsual ? 'Flush after, taken as the usual one' : 'Flush after', flushMl, ml),
          ],
        },
      };
    }
    case 'flushModeChanged': {
      const { mode, source } = entry.body;
      return {
        act: mode === 'manual' ? 'Change to flushing by hand' : 'Change to flushing continuously',
        ...(source ? { measured: { what: 'Flush source of the line', component: sourceParts(source) } } : {}),
      };
    }
    case 'sourceChanged': {
      const { source, newSet } = entry.body;
      return {
        act: newSet ? 'Change of flush source, transducer set and tubing' : 'Change of the flush source',
        measured: { what: 'Flush source of the line', component: sourceParts(source) },
      };
    }
    case 'sourceChecked': {
      const { pressureMmHg, volumeLeftMl } = entry.body;
      const component = [
        ...part('Pressure of the bag', pressureMmHg, mmHg),
        ...part('Volume left', volumeLeftMl, ml),
      ];
      return {
        act: 'Check of the flush source',
        ...(component.length === 0 ? {} : { measured: { what: 'Flush source as checked', component } }),
      };
    }
    case 'transducerJoined': {
      const { newSet, flushMode, source } = entry.body;
      const set = newSet ? 'a new transducer' : 'its transducer again';
      return {
        act: `Line joined to ${set}, flushed ${flushMode === 'manual' ? 'by hand' : 'continuously'}`,
        ...(source ? { measured: { what: 'Flush source of the line', component: sourceParts(source) } } : {}),
      };
    }
    case 'capped': {
      const { flushed, flushMl, flushUsual } = entry.body;
      const what = 'Volume flushed as the line was capped';
      return {
        act: `Line taken off its transducer and capped, ${flushed ? 'flushed' : 'not flushed'}`,
        ...measured(flushUsual ? `${what}, taken as the usual one` : what, flushMl, ml),
      };
    }
    case 'leftWard':
      return { act: `Patient taken off the ward with the line: ${entry.body.to}` };
    case 'arrived':
      return { act: 'Patient arrived off the ward with the line' };
    case 'returned':
      return { act: 'Patient back on the ward with the line' };
    case 'placed':
    case 'fastFlushTested':
    case 'siteChecked':
    case 'reading':
    case 'disturbed':
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
    case 'noted':
    case 'removed':
    case 'pulseChecked':
    case 'holdEnded':
    case 'nudged':
    case 'escalated':
      return null;
  }
}

const mmHg = (value: number) => quantity(value, 'mmHg', 'mm[Hg]');
const cm = (value: number) => quantity(value, 'cm', 'cm');
const ml = (value: number) => quantity(value, 'mL', 'mL');

function measured(
  what: string,
  value: number | undefined,
  of: (value: number) => fhir4.Quantity,
): Pick<Care, 'measured'> {
  return value === undefined ? {} : { measured: { what, valueQuantity: of(value) } };
}

/** What nobody said is not exported as done, nor as left undone. */
function flushedAfter(flushed: boolean | undefined): string {
  if (flushed === undefined) return 'not recorded whether flushed';
  return flushed ? 'flushed' : 'not flushed';
}
