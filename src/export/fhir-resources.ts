import { type ByKind, byKind } from '../domain/by-kind.ts';
import { measuredTest } from '../domain/dynamic-response/measured-test.ts';
import { pressureKeys, pressureNames, type Targets } from '../domain/reading/targets.ts';
import type { EffectiveEntry } from '../domain/record/effective-entries.ts';
import type { Entry, EntryOf, SiteFinding } from '../domain/record/entry.ts';
import { screeningResources } from './fhir-before-placing.ts';
import { type CareEntry, careOf } from './fhir-care.ts';
import type { AboutLine } from './fhir-line.ts';
import { heartRatePart, pressureParts } from './fhir-readings.ts';
import { part, sourceParts } from './fhir-source.ts';
import { fhirText, inWords, ml, mmHg, person, quantity, safety, within } from './fhir-values.ts';
import { findingWords, howFlushed } from './fhir-words.ts';

/** The resources one entry is exported as. */
export type EntryResource = fhir4.Procedure | fhir4.Observation | fhir4.DetectedIssue | fhir4.Flag;

/** What is exported of an entry's line, of the entry as it stands, and why a reading should not be believed, where it should not. */
type About = [line: AboutLine, effective: EffectiveEntry, doubt: string | null];

const cares: ByKind<Exclude<CareEntry, EntryOf<'redressed'>>, About, EntryResource[]> = {
  zeroed: care,
  levelled: care,
  flushed: care,
  sampled: care,
  flushModeChanged: care,
  sourceChanged: care,
  sourceChecked: care,
  transducerJoined: care,
  capped: care,
  leftWard: care,
  arrived: care,
  returned: care,
};

const looks: ByKind<
  EntryOf<'redressed' | 'siteChecked' | 'pulseChecked' | 'holdEnded' | 'disturbed' | 'removed'>,
  About,
  EntryResource[]
> = {
  redressed: (entry, line, effective) => [
    ...care(entry, line, effective),
    ...siteSeen(line, effective, entry.body.finding),
  ],
  siteChecked: ({ body }, line, effective) => siteSeen(line, effective, body.finding, body.note),
  pulseChecked: ({ body }, line, effective) => [
    {
      ...line.observation(effective, 'Pulse below the site of the line', 'exam'),
      bodySite: line.bodySite,
      valueCodeableConcept: inWords(`${body.pulse}${body.cold ? ', cold' : ''}`),
    },
  ],
  holdEnded: ({ body }, line, effective) => [
    {
      ...line.observation(effective, 'Look at the puncture after holding pressure', 'exam'),
      bodySite: line.bodySite,
      valueCodeableConcept: inWords(body.oozing ? 'still oozing, held again' : 'not oozing'),
    },
  ],
  disturbed({ body: { how, bloodLostMl } }, line, effective) {
    const component = part('Blood lost, as near as could be guessed', bloodLostMl, ml);
    return [
      {
        ...line.observation(effective, 'Disturbance of the line', 'exam'),
        valueCodeableConcept: inWords(how),
        ...(component.length === 0 ? {} : { component }),
      },
    ];
  },
  removed({ at, body: { reason, tipWhole, pieceFound, finding } }, line, { number }) {
    const tip = tipWhole ? 'tip whole' : `tip not whole${pieceFound ? ', every piece found' : ''}`;
    const seen = [
      ...(tipWhole === undefined ? [] : [tip]),
      ...(finding ? [`at the site: ${findingWords(finding)}`] : []),
    ];
    return [
      {
        ...line.procedure(number, 'Removal of an arterial line', at),
        reasonCode: [inWords(reason)],
        ...(seen.length === 0 ? {} : { note: [{ text: seen.join('; ') }] }),
      },
    ];
  },
};

const pressures: ByKind<
  EntryOf<'reading' | 'fastFlushTested' | 'targetsSet' | 'targetsEnded'>,
  About,
  EntryResource[]
> = {
  reading: ({ body }, line, effective, doubt) => [
    {
      ...line.observation(effective, 'Arterial pressure by the line', 'vital-signs'),
      ...(doubt === null ? {} : { note: [{ text: doubt }] }),
      component: pressureParts(body),
    },
  ],
  fastFlushTested({ body }, line, effective) {
    const component = testParts(body);
    return [
      {
        ...line.observation(effective, 'Fast-flush test of the line', 'exam'),
        valueCodeableConcept: inWords(body.verdict),
        ...(component.length === 0 ? {} : { component }),
      },
    ];
  },
  targetsSet: ({ body }, line, effective) => [
    {
      ...line.observation(effective, 'Targets for the arterial pressure, set by a clinician', 'procedure'),
      component: targetParts(body),
      note: [
        {
          text: `In place of the ward’s limits until ${line.at(body.until)}, unless ended before: ${fhirText(body.reason) ?? '–'}`,
        },
      ],
    },
  ],
  targetsEnded: (_, line, effective) => [
    {
      ...line.observation(effective, 'End of the targets for the arterial pressure', 'procedure'),
      valueCodeableConcept: inWords('the ward’s limits hold again'),
    },
  ],
};

const nothing = () => [];

/** What each kind is exported as: nothing of what is exported otherwise (faults, notes, with whom a line is) or stays in the record. */
const resources: ByKind<Entry, About, EntryResource[]> = {
  placed: (entry, line, effective) => placing(line, effective, entry),
  ...cares,
  ...looks,
  ...pressures,
  faultOpened: nothing,
  faultStep: nothing,
  faultClosed: nothing,
  assigned: nothing,
  claimed: nothing,
  snoozed: nothing,
  waived: nothing,
  amended: nothing,
  noted: nothing,
  nudged: nothing,
  escalated: nothing,
};

/** The resources one entry of a line is exported as. `doubt`: why a reading should not be believed as it stands. */
export function resourcesOf(
  line: AboutLine,
  effective: EffectiveEntry,
  doubt: string | null,
): EntryResource[] {
  return byKind(resources, effective.entry, line, effective, doubt);
}

/** What was seen at the site and below it; nothing where nobody looked. */
function siteSeen(
  line: AboutLine,
  effective: EffectiveEntry,
  finding: SiteFinding | undefined,
  words = '',
): fhir4.Observation[] {
  if (!finding) return [];
  const note = fhirText(words);
  return [
    {
      ...line.observation(effective, 'Look at the site of the line and the part below', 'exam'),
      bodySite: line.bodySite,
      valueCodeableConcept: inWords(findingWords(finding)),
      ...(note === null ? {} : { note: [{ text: note }] }),
    },
  ];
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
          text: `${patient.weightKg} kg; ${transducer === false ? 'samples only, capped, no transducer; ' : ''}flushed ${howFlushed(flushMode)}`,
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
function care(entry: CareEntry, line: AboutLine, effective: EffectiveEntry): EntryResource[] {
  const { act: words, measured } = careOf(entry);
  const { number } = effective;
  const act = { ...line.procedure(number, words, entry.at), id: line.id('care', number) };
  if (!measured) return [act];
  const { what, ...value } = measured;
  return [act, { ...line.observation(effective, what, 'procedure'), partOf: [within(act.id)], ...value }];
}

/** The lowest and the highest that are wanted of each pressure, where they were set. */
function targetParts(targets: Targets): fhir4.ObservationComponent[] {
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
