import { measuredTest } from '../domain/dynamic-response/measured-test.ts';
import { pressureKeys, pressureNames, type Targets } from '../domain/reading/targets.ts';
import type { EffectiveEntry } from '../domain/record/effective-entries.ts';
import type { EntryOf } from '../domain/record/entry.ts';
import { screeningResources } from './fhir-before-placing.ts';
import { careOf } from './fhir-care.ts';
import type { AboutLine } from './fhir-line.ts';
import { heartRatePart, pressureParts } from './fhir-readings.ts';
import { part, sourceParts } from './fhir-source.ts';
import { fhirText, inWords, person, quantity, safety, within } from './fhir-values.ts';
import { findingWords } from './fhir-words.ts';

/** The resources one entry is exported as. */
export type EntryResource = fhir4.Procedure | fhir4.Observation | fhir4.DetectedIssue | fhir4.Flag;

/**
 * The resources one entry of a line is exported as; none for what is exported otherwise (faults, notes, with whom a line is) and of what
 * stays in the record (reminders and their answers). `doubt`: why a reading should not be believed as it stands.
 */
export function resourcesOf(
  line: AboutLine,
  effective: EffectiveEntry,
  doubt: string | null,
): EntryResource[] {
  const { entry, number } = effective;
  switch (entry.kind) {
    case 'placed':
      return placing(line, effective, entry);
    case 'removed': {
      const { reason, tipWhole, pieceFound, finding } = entry.body;
      const seen = [
        ...(tipWhole === undefined
          ? []
          : [tipWhole ? 'tip whole' : `tip not whole${pieceFound ? ', every piece found' : ''}`]),
        ...(finding ? [`at the site: ${findingWords(finding)}`] : []),
      ];
      return [
        {
          ...line.procedure(number, 'Removal of an arterial line', entry.at),
          reasonCode: [inWords(reason)],
          ...(seen.length === 0 ? {} : { note: [{ text: seen.join('; ') }] }),
        },
      ];
    }
    case 'reading':
      return [
        {
          ...line.observation(effective, 'Arterial pressure by the line', 'vital-signs'),
          ...(doubt === null ? {} : { note: [{ text: doubt }] }),
          component: pressureParts(entry.body),
        },
      ];
    case 'fastFlushTested': {
      const component = testParts(entry.body);
      return [
        {
          ...line.observation(effective, 'Fast-flush test of the line', 'exam'),
          valueCodeableConcept: inWords(entry.body.verdict),
          ...(component.length === 0 ? {} : { component }),
        },
      ];
    }
    case 'redressed':
    case 'siteChecked': {
      const { finding } = entry.body;
      if (!finding) return care(line, effective);
      const note = fhirText(entry.kind === 'siteChecked' ? (entry.body.note ?? '') : '');
      return [
        ...care(line, effective),
        {
          ...line.observation(effective, 'Look at the site of the line and the part below', 'exam'),
          bodySite: line.bodySite,
          valueCodeableConcept: inWords(findingWords(finding)),
          ...(note === null ? {} : { note: [{ text: note }] }),
        },
      ];
    }
    case 'pulseChecked':
      return [
        {
          ...line.observation(effective, 'Pulse below the site of the line', 'exam'),
          bodySite: line.bodySite,
          valueCodeableConcept: inWords(`${entry.body.pulse}${entry.body.cold ? ', cold' : ''}`),
        },
      ];
    case 'holdEnded':
      return [
        {
          ...line.observation(effective, 'Look at the puncture after holding pressure', 'exam'),
          bodySite: line.bodySite,
          valueCodeableConcept: inWords(entry.body.oozing ? 'still oozing, held again' : 'not oozing'),
        },
      ];
    case 'disturbed':
      return [
        {
          ...line.observation(effective, 'Disturbance of the line', 'exam'),
          valueCodeableConcept: inWords(entry.body.how),
          ...(entry.body.bloodLostMl === undefined
            ? {}
            : {
                component: part('Blood lost, as near as could be guessed', entry.body.bloodLostMl, (ml) =>
                  quantity(ml, 'mL', 'mL'),
                ),
              }),
        },
      ];
    case 'targetsSet':
      return [
        {
          ...line.observation(
            effective,
            'Targets for the arterial pressure, set by a clinician',
            'procedure',
          ),
          component: targetParts(entry.body),
          note: [
            {
              text: `In place of the ward’s limits until ${line.at(entry.body.until)}, unless ended before: ${fhirText(entry.body.reason) ?? '–'}`,
            },
          ],
        },
      ];
    case 'targetsEnded':
      return [
        {
          ...line.observation(effective, 'End of the targets for the arterial pressure', 'procedure'),
          valueCodeableConcept: inWords('the ward’s limits hold again'),
        },
      ];
    case 'zeroed':
    case 'levelled':
    case 'flushed':
    case 'sampled':
    case 'flushModeChanged':
    case 'sourceChanged':
    case 'sourceChecked':
    case 'transducerJoined':
    case 'capped':
    case 'leftWard':
    case 'arrived':
    case 'returned':
      return care(line, effective);
    case 'faultOpened':
    case 'faultStep':
    case 'faultClosed':
    case 'assigned':
    case 'claimed':
    case 'snoozed':
    case 'waived':
    case 'amended':
    case 'noted':
    case 'nudged':
    case 'escalated':
      return [];
  }
}

/** A placing, with what was recorded of the animal, of what was looked at before, of the tries and of the flush source. */
function placing(
  line: AboutLine,
  effective: EffectiveEntry,
  { body, at }: EntryOf<'placed'>,
): EntryResource[] {
  const { patient, indication, transducer, flushMode, operator, tries, screening, source } = body;
  const { number } = effective;
  const reason = fhirText(indication ?? '');
  const partOf = [within(line.id('entry', number))];
  return [
    {
      ...line.procedure(number, 'Placing of an arterial line', at),
      ...(operator === undefined
        ? {}
        : { performer: [{ function: inWords('Placed the catheter'), actor: person(operator) }] }),
      ...(reason === null ? {} : { reasonCode: [{ text: reason }] }),
      note: [
        {
          text: `${patient.weightKg} kg; ${transducer === false ? 'samples only, capped, no transducer; ' : ''}flushed ${flushMode === 'manual' ? 'by hand' : 'continuously'}`,
        },
      ],
    },
    weight(line, effective, patient.weightKg),
    ...(patient.bleeding ? [bleedingFlag(line, effective)] : []),
    ...(screening ? screeningResources(line, effective, screening) : []),
    ...(tries === undefined
      ? []
      : [
          {
            ...line.observation(effective, triesWords, 'procedure', 'tries'),
            partOf,
            valueInteger: tries,
          },
        ]),
    ...(source
      ? [
          {
            ...line.observation(effective, 'Flush source of the line', 'procedure', 'source'),
            partOf,
            component: sourceParts(source),
          },
        ]
      : []),
  ];
}

const triesWords = 'Attempts at this artery, including the successful one';

/** The animal's weight as it was recorded, by HL7's own profile of it: LOINC 29463-7 in kg (hl7.org/fhir/R4/bodyweight.html). */
function weight(line: AboutLine, effective: EffectiveEntry, weightKg: number): fhir4.Observation {
  const { device: _, ...about } = line.observation(effective, 'Body weight', 'vital-signs', 'weight');
  return {
    ...about,
    code: {
      coding: [{ system: 'http://loinc.org', code: '29463-7', display: 'Body weight' }],
      text: 'Body weight',
    },
    valueQuantity: quantity(weightKg, 'kg', 'kg'),
  };
}

/** A bleeding disorder, for whoever cares for the animal next. */
function bleedingFlag(line: AboutLine, { number, entry }: EffectiveEntry): fhir4.Flag {
  return {
    resourceType: 'Flag',
    id: line.id('bleeding', number),
    status: 'active',
    category: [safety],
    code: inWords('Bleeding disorder'),
    subject: line.subject,
    period: { start: line.at(entry.at) },
    author: person(entry.by),
  };
}

/** Care as an act, with what was measured at it as a part of it. */
function care(line: AboutLine, effective: EffectiveEntry): EntryResource[] {
  const { number, entry } = effective;
  const done = careOf(entry);
  if (done === null) return [];
  const act = { ...line.procedure(number, done.act, entry.at), id: line.id('care', number) };
  if (!done.measured) return [act];
  const { what, ...value } = done.measured;
  return [act, { ...line.observation(effective, what, 'procedure'), partOf: [within(act.id)], ...value }];
}

/** The lowest and the highest that are wanted of each pressure, where they were set. */
function targetParts(targets: Targets): fhir4.ObservationComponent[] {
  const mmHg = (value: number) => quantity(value, 'mmHg', 'mm[Hg]');
  return pressureKeys.flatMap((key) => [
    ...part(`Lowest ${pressureNames[key]} wanted`, targets[key]?.low, mmHg),
    ...part(`Highest ${pressureNames[key]} wanted`, targets[key]?.high, mmHg),
  ]);
}

/** What was measured at a fast-flush test, read from a strip or off paper. */
function testParts({
  heartRatePerMin,
  read,
  strip,
}: EntryOf<'fastFlushTested'>['body']): fhir4.ObservationComponent[] {
  const reckoned = strip && measuredTest(strip);
  const measured = reckoned?.result === 'measured' ? reckoned : null;
  const naturalHz = read?.naturalHz ?? measured?.naturalHz?.value;
  const damping = read?.damping ?? measured?.damping.value;
  return [
    ...part('Natural frequency', naturalHz, (value) => quantity(value, 'Hz', 'Hz')),
    ...part('Damping coefficient', damping, (value) => quantity(value, '1', '1')),
    ...heartRatePart(heartRatePerMin),
  ];
}
