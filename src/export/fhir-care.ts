import { type ByKind, byKind } from '../domain/by-kind.ts';
import type { Entry, EntryOf, FlushSource } from '../domain/record/entry.ts';
import { part, sourceParts } from './fhir-source.ts';
import { inWords, ml, mmHg, quantity } from './fhir-values.ts';
import { howFlushed } from './fhir-words.ts';

/** What was done to a line, and what was measured while doing it. */
export interface Care {
  /** The act, in words. */
  act: string;
  /** What was measured, in words, with its value or its parts. */
  measured?: Pick<fhir4.Observation, 'valueQuantity' | 'component'> & { what: string };
}

/** Entries that are care, which another system should see. What was seen at a redress is an observation of its own. */
const cares = {
  zeroed: ({ body }) => ({
    act: 'Zeroing of the line',
    ...measured('Monitor with the line open to air, before zeroing', body.openToAirMmHg, mmHg),
  }),
  levelled: ({ body }) => ({
    act: 'Levelling of the transducer with the heart',
    ...measured('Transducer found below the heart (negative: above)', body.belowHeartCm, cm),
  }),
  flushed: ({ body: { volumeMl, usual, heparinUPerMl } }) => ({
    act: `Flush of the line by hand${heparinUPerMl === undefined ? '' : `, heparin ${heparinUPerMl} U/mL`}`,
    ...measured(asUsual('Volume flushed by hand', usual), volumeMl, ml),
  }),
  redressed: () => ({ act: 'Redress of the line' }),
  sampled: ({ body: { volumeMl, discardMl, discardReturned, flushed, flushMl, flushUsual } }) => ({
    act: `Blood sample by the line, ${flushedAfter(flushed)} after`,
    measured: {
      what: 'Blood drawn by the line',
      component: [
        ...part('Sample', volumeMl, ml),
        ...part('Discard', discardMl, ml),
        ...(discardReturned === undefined
          ? []
          : [{ code: inWords('Discard given back'), valueBoolean: discardReturned }]),
        ...part(asUsual('Flush after', flushUsual), flushMl, ml),
      ],
    },
  }),
  flushModeChanged: ({ body: { mode, source } }) => ({
    act: `Change to flushing ${howFlushed(mode)}`,
    ...flushedFrom(source),
  }),
  sourceChanged: ({ body: { source, newSet } }) => ({
    act: newSet ? 'Change of flush source, transducer set and tubing' : 'Change of the flush source',
    ...flushedFrom(source),
  }),
  sourceChecked({ body: { pressureMmHg, volumeLeftMl } }) {
    const component = [
      ...part('Pressure of the bag', pressureMmHg, mmHg),
      ...part('Volume left', volumeLeftMl, ml),
    ];
    return {
      act: 'Check of the flush source',
      ...(component.length === 0 ? {} : { measured: { what: 'Flush source as checked', component } }),
    };
  },
  transducerJoined: ({ body: { newSet, flushMode, source } }) => ({
    act: `Line joined to ${newSet ? 'a new transducer' : 'its transducer again'}, flushed ${howFlushed(flushMode)}`,
    ...flushedFrom(source),
  }),
  capped: ({ body: { flushed, flushMl, flushUsual } }) => ({
    act: `Line taken off its transducer and capped, ${flushed ? 'flushed' : 'not flushed'}`,
    ...measured(asUsual('Volume flushed as the line was capped', flushUsual), flushMl, ml),
  }),
  leftWard: ({ body }) => ({ act: `Patient taken off the ward with the line: ${body.to}` }),
  arrived: () => ({ act: 'Patient arrived off the ward with the line' }),
  returned: () => ({ act: 'Patient back on the ward with the line' }),
} satisfies Partial<ByKind<Entry, [], Care>>;

/** An entry that is care. */
export type CareEntry = EntryOf<keyof typeof cares>;

/** Care as another system should see it. */
export function careOf(entry: CareEntry): Care {
  return byKind<CareEntry, [], Care>(cares, entry);
}

const cm = (value: number) => quantity(value, 'cm', 'cm');

function measured(
  what: string,
  value: number | undefined,
  of: (value: number) => fhir4.Quantity,
): Pick<Care, 'measured'> {
  return value === undefined ? {} : { measured: { what, valueQuantity: of(value) } };
}

/** What nobody measured must not look measured elsewhere. */
function asUsual(what: string, isUsual: boolean | undefined): string {
  return isUsual ? `${what}, taken as the usual one` : what;
}

function flushedFrom(source: FlushSource | undefined): Pick<Care, 'measured'> {
  return source ? { measured: { what: 'Flush source of the line', component: sourceParts(source) } } : {};
}

/** What nobody said is not exported as done, nor as left undone. */
function flushedAfter(flushed: boolean | undefined): string {
  if (flushed === undefined) return 'not recorded whether flushed';
  return flushed ? 'flushed' : 'not flushed';
}
