import type { LineCopy, WardCopy } from '../app/ward-copy.ts';
import { dutiesOfLine } from '../domain/duties/duties-of-line.ts';
import { concernsDuty, type Duty, isClinicians } from '../domain/duties/duty.ts';
import type { WardPolicy } from '../domain/policy/ward-policy.ts';
import { type EffectiveEntry, effectiveEntries } from '../domain/record/effective-entries.ts';
import type { Entry, EntryOf } from '../domain/record/entry.ts';
import { foldLine, foldNext } from '../domain/record/fold-line.ts';
import type { LineState } from '../domain/record/line-state.ts';
import { doubtsOfReading } from '../domain/trust/doubts-of-reading.ts';
import { nurseOf, onCallAt } from '../domain/ward/on-call.ts';
import type { WardState } from '../domain/ward/ward-state.ts';
import { foldWard } from '../domain/ward/ward-state.ts';
import { careOf } from './fhir-care.ts';
import { fhirText, identifier, inWords, person, quantity, uuidOf, within } from './fhir-values.ts';
import { doubtWords, dutyWords } from './fhir-words.ts';
import { wallIso } from './record-csv.ts';

/** HL7's extension that says a Patient is an animal. */
const animalExtension = 'http://hl7.org/fhir/StructureDefinition/patient-animal';

/** SNOMED CT codes of species; the cat's is from memory. Others are told in words alone. */
const speciesCodes: Partial<Record<LineState['patient']['species'], { code: string; display: string }>> = {
  dog: { code: '448771007', display: 'Canis lupus subspecies familiaris' },
  cat: { code: '448169003', display: 'Felis catus' },
};

/** LOINC codes of pressures by an arterial line. */
const invasive = {
  sapMmHg: { code: '76215-3', display: 'Invasive Systolic blood pressure' },
  dapMmHg: { code: '76213-8', display: 'Invasive Diastolic blood pressure' },
  mapMmHg: { code: '76214-6', display: 'Invasive Mean blood pressure' },
} as const;

const cuffNames = { sapMmHg: 'systolic', dapMmHg: 'diastolic', mapMmHg: 'mean' } as const;

/** What the bundle tells of a line's entry, and so owes a Provenance for. */
interface Told {
  resources: (fhir4.Procedure | fhir4.Observation)[];
  effective: EffectiveEntry;
}

/**
 * The record of a ward at `now` (ms) as an HL7 FHIR R4 Bundle of type collection: for each line its animal (Patient),
 * catheter (Device), placing, removal and care (Procedure), pressures, fast-flush tests, looks at site and limb and what was
 * measured at care (Observation), what is owed (Task), and who told what and when (Provenance). Values are as amended;
 * what was struck is left out, and so is what only ndjson and csv keep (cautions and tries at placing, the flush source, faults,
 * notes, reminders, the ward's own entries). Each line has a Patient
 * of its own: the record knows animals by name only, and two of one name must never become one.
 */
export function fhirBundle(copy: WardCopy, policyIfNone: WardPolicy, now: number): fhir4.Bundle {
  const ward = foldWard(copy.wardId, policyIfNone, copy.wardEntries);
  const entry = copy.lines
    .flatMap((line) => lineResources(copy.wardId, line, ward, now))
    .map((resource) => ({ fullUrl: `urn:uuid:${resource.id}`, resource }));
  return {
    resourceType: 'Bundle',
    id: uuidOf('bundle', copy.wardId, now),
    identifier: identifier('ward', copy.wardId),
    type: 'collection',
    timestamp: wallIso(now, ward.policy.shifts.zone),
    ...(entry.length === 0 ? {} : { entry }),
  };
}

function lineResources(wardId: string, line: LineCopy, ward: WardState, now: number): fhir4.FhirResource[] {
  const state = foldLine(line.id, line.entries);
  const effective = effectiveEntries(line.entries);
  const maker = makerOf(wardId, line.id, state, ward.policy.shifts.zone);
  const amendments = Map.groupBy(
    line.entries.flatMap((entry, index) => (entry.kind === 'amended' ? [{ number: index + 1, entry }] : [])),
    ({ entry }) => entry.body.target,
  );
  const doubts = doubtsOfReadings(line.id, effective, ward.policy);
  const told = effective.flatMap((one): Told[] => {
    const told = maker.told(one, doubts.get(one.number) ?? null);
    const resources = [...maker.care(one), ...(told === null ? [] : [told])];
    return resources.length === 0 ? [] : [{ resources, effective: one }];
  });
  return [
    maker.patient(),
    maker.device(),
    ...told.flatMap(({ resources }) => resources),
    ...dutiesOfLine(state, ward.policy, now).map((duty) => maker.task(duty, ward, now)),
    ...told.flatMap((one) =>
      maker.provenances(one, line.entries, amendments.get(one.effective.number) ?? []),
    ),
  ];
}

/** Makes the resources of one line, which all speak of the same animal and catheter. */
function makerOf(wardId: string, lineId: string, state: LineState, zone: string) {
  const id = (...name: (string | number)[]) => uuidOf(wardId, lineId, ...name);
  const patientId = id('patient');
  const deviceId = id('device');
  const subject = within(patientId);
  const at = (instant: number) => wallIso(instant, zone);
  const { patient, gauge } = state;
  const bodySite = inWords(`${state.side ? `${state.side} ` : ''}${state.site} artery`);
  const catheter = `Arterial catheter, ${gauge} G`;

  const procedure = (number: number, what: string, happened: number): fhir4.Procedure => ({
    resourceType: 'Procedure',
    id: id('entry', number),
    identifier: [identifier('entry', `${lineId}#${number}`)],
    status: 'completed',
    code: inWords(what),
    subject,
    performedDateTime: at(happened),
    bodySite: [bodySite],
    focalDevice: [{ manipulated: within(deviceId) }],
  });

  const observation = (
    { number, entry, amended }: EffectiveEntry,
    what: string,
    sort: keyof typeof categories,
  ): fhir4.Observation => ({
    resourceType: 'Observation',
    id: id('entry', number),
    identifier: [identifier('entry', `${lineId}#${number}`)],
    status: amended ? 'amended' : 'final',
    category: [category(sort)],
    code: inWords(what),
    subject,
    effectiveDateTime: at(entry.at),
    issued: at(entry.told),
    device: within(deviceId),
  });

  return {
    patient(): fhir4.Patient {
      const name = fhirText(patient.name);
      const code = speciesCodes[patient.species];
      return {
        resourceType: 'Patient',
        id: patientId,
        identifier: [identifier('line', `${wardId}/${lineId}`)],
        extension: [
          {
            url: animalExtension,
            extension: [
              {
                url: 'species',
                valueCodeableConcept: {
                  ...(code ? { coding: [{ system: 'http://snomed.info/sct', ...code }] } : {}),
                  text: patient.species,
                },
              },
            ],
          },
        ],
        ...(name === null ? {} : { name: [{ text: name }] }),
      };
    },

    device: (): fhir4.Device => ({
      resourceType: 'Device',
      id: deviceId,
      identifier: [identifier('line', `${wardId}/${lineId}`)],
      status: state.removed ? 'inactive' : 'active',
      deviceName: [{ name: catheter, type: 'user-friendly-name' }],
      type: inWords('Arterial catheter'),
      patient: subject,
    }),

    /** Care as an act, with what was measured at it as a part of it. */
    care(effective: EffectiveEntry): (fhir4.Procedure | fhir4.Observation)[] {
      const { number, entry } = effective;
      const care = careOf(entry);
      if (care === null) return [];
      const act = { ...procedure(number, care.act, entry.at), id: id('care', number) };
      if (!care.measured) return [act];
      const { what, ...value } = care.measured;
      return [act, { ...observation(effective, what, 'procedure'), partOf: [within(act.id)], ...value }];
    },

    /** Everything else that is told as one resource; null of what stays in the record. */
    told(effective: EffectiveEntry, doubt: string | null): fhir4.Procedure | fhir4.Observation | null {
      const { number, entry } = effective;
      switch (entry.kind) {
        case 'placed': {
          const reason = fhirText(entry.body.indication ?? '');
          return {
            ...procedure(number, 'Placing of an arterial line', entry.at),
            ...(reason === null ? {} : { reasonCode: [{ text: reason }] }),
            note: [
              {
                text: `${patient.weightKg} kg; flushed ${entry.body.flushMode === 'manual' ? 'by hand' : 'continuously'}`,
              },
            ],
          };
        }
        case 'removed': {
          const { reason, tipWhole, pieceFound, finding } = entry.body;
          const seen = [
            ...(tipWhole === undefined
              ? []
              : [tipWhole ? 'tip whole' : `tip not whole${pieceFound ? ', every piece found' : ''}`]),
            ...(finding ? [`at the site: ${signs(finding)}`] : []),
          ];
          return {
            ...procedure(number, 'Removal of an arterial line', entry.at),
            reasonCode: [inWords(reason)],
            ...(seen.length === 0 ? {} : { note: [{ text: seen.join('; ') }] }),
          };
        }
        case 'reading':
          return {
            ...observation(effective, 'Arterial pressure by the line', 'vital-signs'),
            ...(doubt === null ? {} : { note: [{ text: doubt }] }),
            component: pressures(entry.body),
          };
        case 'fastFlushTested':
          return {
            ...observation(effective, 'Fast-flush test of the line', 'exam'),
            valueCodeableConcept: inWords(entry.body.verdict),
          };
        case 'siteChecked':
        case 'redressed':
          if (!entry.body.finding) return null;
          return {
            ...observation(effective, 'Look at the site of the line and the part below', 'exam'),
            bodySite,
            valueCodeableConcept: inWords(signs(entry.body.finding)),
          };
        case 'pulseChecked':
          return {
            ...observation(effective, 'Pulse below the site of the line', 'exam'),
            bodySite,
            valueCodeableConcept: inWords(`${entry.body.pulse}${entry.body.cold ? ', cold' : ''}`),
          };
        case 'zeroed':
        case 'levelled':
        case 'flushed':
        case 'flushModeChanged':
        case 'sourceChanged':
        case 'sourceChecked':
        case 'sampled':
        case 'disturbed':
        case 'faultOpened':
        case 'faultStep':
        case 'faultClosed':
        case 'assigned':
        case 'claimed':
        case 'snoozed':
        case 'waived':
        case 'amended':
        case 'noted':
        case 'holdEnded':
        case 'nudged':
        case 'escalated':
          return null;
      }
    },

    task(duty: Duty, ward: WardState, now: number): fhir4.Task {
      const mark = state.marks[duty.kind]?.claimed;
      const claimed = mark && mark.until > now && concernsDuty(duty.kind, mark, duty.dueAt) ? mark : null;
      const owner =
        claimed?.by ?? (isClinicians(duty.kind) ? onCallAt(ward, now) : nurseOf(ward, state, now));
      return {
        resourceType: 'Task',
        id: id('task', duty.kind, duty.dueAt),
        status: claimed ? 'in-progress' : 'requested',
        intent: 'plan',
        priority: duty.dueAt < now ? 'urgent' : 'routine',
        code: inWords(dutyWords[duty.kind]),
        description: dutyWords[duty.kind],
        focus: within(deviceId),
        for: subject,
        authoredOn: at(now),
        ...(owner === null ? {} : { owner: person(owner) }),
        reasonCode: inWords(duty.why),
        restriction: { period: { start: at(Math.min(duty.earliestAt, duty.dueAt)), end: at(duty.dueAt) } },
      };
    },

    provenances(
      { resources, effective }: Told,
      log: readonly Entry[],
      amendments: readonly { number: number; entry: Entry }[],
    ): fhir4.Provenance[] {
      const by = (number: number, entry: Entry, activity: string): fhir4.Provenance => ({
        resourceType: 'Provenance',
        id: id('provenance', effective.number, number),
        target: resources.map((resource) => within(resource.id ?? '')),
        occurredDateTime: at(entry.at),
        recorded: at(entry.told),
        activity: inWords(activity),
        agent: [
          {
            type: {
              coding: [
                {
                  system: 'http://terminology.hl7.org/CodeSystem/provenance-participant-type',
                  code: 'enterer',
                  display: 'Enterer',
                },
              ],
            },
            who: person(entry.by),
          },
        ],
      });
      const first = log[effective.number - 1] ?? effective.entry;
      return [
        by(effective.number, first, `told by ${first.via}`),
        ...amendments.map(({ number, entry }) => by(number, entry, `amended by ${entry.via}`)),
      ];
    },
  };
}

const categories = { 'vital-signs': 'Vital Signs', exam: 'Exam', procedure: 'Procedure' } as const;

function category(code: keyof typeof categories) {
  const system = 'http://terminology.hl7.org/CodeSystem/observation-category';
  return { coding: [{ system, code, display: categories[code] }] };
}

function pressures({
  cuff,
  heartRatePerMin,
  ...line
}: EntryOf<'reading'>['body']): fhir4.ObservationComponent[] {
  const names = ['sapMmHg', 'dapMmHg', 'mapMmHg'] as const;
  const mmHg = (value: number) => quantity(value, 'mmHg', 'mm[Hg]');
  return [
    ...names.flatMap((name) => {
      const value = line[name];
      if (value === undefined) return [];
      const coding = [{ system: 'http://loinc.org', ...invasive[name] }];
      return [{ code: { coding, text: `Arterial line, ${cuffNames[name]}` }, valueQuantity: mmHg(value) }];
    }),
    ...names.flatMap((name) => {
      const value = cuff?.[name];
      return value === undefined
        ? []
        : [{ code: inWords(`Cuff, ${cuffNames[name]}`), valueQuantity: mmHg(value) }];
    }),
    ...(heartRatePerMin === undefined
      ? []
      : [{ code: inWords('Heart rate'), valueQuantity: quantity(heartRatePerMin, '/min', '/min') }]),
  ];
}

function signs(finding: EntryOf<'siteChecked'>['body']['finding']): string {
  const names = {
    swelling: 'swelling',
    pain: 'pain',
    ooze: 'ooze',
    cold: 'cold',
    noPulse: 'no pulse',
    soiled: 'soiled',
  } as const;
  const seen = (Object.keys(names) as (keyof typeof names)[]).filter((name) => finding[name]);
  return seen.length === 0 ? 'nothing amiss' : seen.map((name) => names[name]).join(', ');
}

/**
 * By the number of a reading's entry, why it should not be believed as it stands, by what came to light until the next
 * reading; readings that nothing speaks against are not in it.
 */
function doubtsOfReadings(
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
    if (reading !== null && doubts.length > 0)
      notes.set(reading, `Not to be believed as it stands: ${doubts.map(doubtWords).join('; ')}.`);
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
