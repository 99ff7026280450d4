import { foldLine, foldNext } from '../domain/fold/fold-line.ts';
import type { WardPolicy } from '../domain/policy/ward-policy.ts';
import type { EffectiveEntry } from '../domain/record/effective-entries.ts';
import type { EntryOf } from '../domain/record/entry.ts';
import { doubtsOfReading, stillUsable } from '../domain/trust/doubts-of-reading.ts';
import { inWords, mmHg, quantity } from './fhir-values.ts';
import { doubtWords, usableWords } from './fhir-words.ts';

/** LOINC codes of pressures by an arterial line. */
const invasive = {
  sapMmHg: { code: '76215-3', display: 'Invasive Systolic blood pressure' },
  dapMmHg: { code: '76213-8', display: 'Invasive Diastolic blood pressure' },
  mapMmHg: { code: '76214-6', display: 'Invasive Mean blood pressure' },
} as const;

const pressureNames = { sapMmHg: 'systolic', dapMmHg: 'diastolic', mapMmHg: 'mean' } as const;

/** LOINC's heart rate, by HL7's own profile of it (hl7.org/fhir/R4/heartrate.html). */
export function heartRatePart(perMin: number | undefined): fhir4.ObservationComponent[] {
  if (perMin === undefined) return [];
  const coding = [{ system: 'http://loinc.org', code: '8867-4', display: 'Heart rate' }];
  return [{ code: { coding, text: 'Heart rate' }, valueQuantity: quantity(perMin, '/min', '/min') }];
}

/** The pressures of a reading, by the line and by a cuff, with the heart rate. */
export function pressureParts({
  cuff,
  heartRatePerMin,
  ...line
}: EntryOf<'reading'>['body']): fhir4.ObservationComponent[] {
  const names = ['sapMmHg', 'dapMmHg', 'mapMmHg'] as const;
  return [
    ...names.flatMap((name) => {
      const value = line[name];
      if (value === undefined) return [];
      const coding = [{ system: 'http://loinc.org', ...invasive[name] }];
      return [
        { code: { coding, text: `Arterial line, ${pressureNames[name]}` }, valueQuantity: mmHg(value) },
      ];
    }),
    ...names.flatMap((name) => {
      const value = cuff?.[name];
      return value === undefined
        ? []
        : [{ code: inWords(`Cuff, ${pressureNames[name]}`), valueQuantity: mmHg(value) }];
    }),
    ...heartRatePart(heartRatePerMin),
  ];
}

/**
 * By the number of a reading's entry, why it should not be believed as it stands, by what came to light until the next
 * reading; readings that nothing speaks against are not in it.
 */
export function doubtsOfReadings(
  lineId: string,
  effective: readonly EffectiveEntry[],
  policy: WardPolicy,
): Map<number, string> {
  const notes = new Map<number, string>();
  const [first, ...rest] = effective;
  if (!first) return notes;
  let state = foldLine(lineId, [first.entry]);
  let reading: number | null = null;
  const close = () => {
    const doubts = reading === null ? [] : doubtsOfReading(state, policy);
    if (reading === null || !state.reading || doubts.length === 0) return;
    const why = doubts.map(doubtWords).join('; ');
    const left = usableWords(stillUsable(doubts, state.reading));
    const isCondition = doubts.every((one) => one.doubt === 'rate not recorded' && one.upToPerMin !== null);
    notes.set(reading, `${isCondition ? '' : 'Not to be believed as it stands: '}${why}.${left}`);
  };
  for (const { number, entry } of rest) {
    if (entry.kind === 'reading') {
      close();
      reading = number;
    }
    // These are in the order they happened, with amendments in them: nothing is ever late.
    state = foldNext(state, entry, () => []);
  }
  close();
  return notes;
}
