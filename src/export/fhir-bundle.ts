import type { LineCopy, WardCopy } from '../app/ward-copy.ts';
import { placingOf, withAnimals } from '../domain/animal/animal.ts';
import { dutiesOfLine } from '../domain/duties/duties-of-line.ts';
import { concernsDuty, type Duty } from '../domain/duties/duty.ts';
import { isClinicians } from '../domain/duty-kind.ts';
import { foldLine } from '../domain/fold/fold-line.ts';
import type { WardPolicy } from '../domain/policy/ward-policy.ts';
import { type EffectiveEntry, effectiveEntries } from '../domain/record/effective-entries.ts';
import type { Entry, EntryOf } from '../domain/record/entry.ts';
import type { LineState } from '../domain/record/line-state.ts';
import { nurseOf, onCallAt } from '../domain/ward/on-call.ts';
import { foldWard, type WardState } from '../domain/ward/ward-state.ts';
import { animalsOfWard } from './fhir-animals.ts';
import { failedTriesResources } from './fhir-before-placing.ts';
import { faultObservations } from './fhir-faults.ts';
import { enteredInError } from './fhir-in-error.ts';
import { type AboutLine, aboutLine, animalId } from './fhir-line.ts';
import { animalPatient } from './fhir-patient.ts';
import { lineTeam, onCallTeam } from './fhir-people.ts';
import { doubtsOfReadings } from './fhir-readings.ts';
import { type EntryResource, resourcesOf } from './fhir-resources.ts';
import { openFindingFlags, useOfCatheter } from './fhir-use.ts';
import { enterer, fhirText, identifier, inWords, person, uuidOf, within } from './fhir-values.ts';
import { dutyWords } from './fhir-words.ts';
import { wallIso } from './record-csv.ts';

/** An entry of a line with its resources, for each of which a Provenance is owed. */
interface EntryResources {
  resources: readonly fhir4.FhirResource[];
  effective: EffectiveEntry;
}

/**
 * The record of a ward at `now` (ms) as an HL7 FHIR R4 Bundle of type collection. For each line its animal (Patient),
 * catheter (Device) and how long it lay, with notes (DeviceUseStatement), placing, removal and care (Procedure), pressures,
 * tests, looks, faults, flush source and what else was seen or measured (Observation), what spoke against placing it and
 * who decided (DetectedIssue), what a reader must be warned of (Flag), with whom it is (CareTeam), what is owed (Task), and
 * who recorded what and when (Provenance). For the ward, who is on call, and tries at placing that came to no line. Values are
 * as amended; what was struck is left out, a line registered in error is `entered-in-error`, and left out is also what only ndjson and csv keep (reminders and their answers, with whom
 * a line was before, the ward's other entries). Each line has a Patient of its own: the record knows animals by name only,
 * and two of one name must never become one.
 */
export function fhirBundle(copy: WardCopy, policyIfNone: WardPolicy, now: number): fhir4.Bundle {
  const ward = foldWard(copy.wardId, policyIfNone, copy.wardEntries);
  const entry = [...entriesOf(copy, ward, now)];
  return { ...headOf(ward, now), ...(entry.length === 0 ? {} : { entry }) };
}

/** The same bundle as JSON, an entry a line, piece by piece: that of many years is longer than one text may be. */
export function* fhirBundlePieces(copy: WardCopy, policyIfNone: WardPolicy, now: number): Generator<string> {
  const ward = foldWard(copy.wardId, policyIfNone, copy.wardEntries);
  yield JSON.stringify(headOf(ward, now)).slice(0, -1);
  let before = ',"entry":[\n';
  for (const entry of entriesOf(copy, ward, now)) {
    yield before + JSON.stringify(entry);
    before = ',\n';
  }
  yield before === ',\n' ? '\n]}\n' : '}\n';
}

function headOf(ward: WardState, now: number): fhir4.Bundle {
  return {
    resourceType: 'Bundle',
    id: uuidOf('bundle', ward.id, now),
    identifier: identifier('ward', ward.id),
    type: 'collection',
    timestamp: wallIso(now, ward.policy.shifts.zone),
  };
}

function* entriesOf(
  { wardId, wardEntries, lines }: WardCopy,
  ward: WardState,
  now: number,
): Generator<fhir4.BundleEntry> {
  const entry = (resource: fhir4.FhirResource) => ({ fullUrl: `urn:uuid:${resource.id}`, resource });
  const onCall = onCallTeam(ward, now);
  if (onCall) yield entry(onCall);
  const states = lines.map(({ id, entries }) => foldLine(id, entries));
  const known = animalsOfWard(states, wardEntries);
  for (const { id, patient, lines: of, inError } of known.animals) {
    const animal = animalPatient(patient, animalId(wardId, id), identifier('line', `${wardId}/${of}`));
    // R4 has a Patient that was made in error inactive (hl7.org/fhir/R4/patient-definitions.html#Patient.active).
    yield entry(inError ? { ...animal, active: false } : animal);
  }
  const joined = new Map(withAnimals(states, states.map(placingOf)).map((state) => [state.id, state]));
  for (const line of lines) {
    const state = joined.get(line.id);
    if (state) yield* lineResources(line, state, { ward, animal: known.ofLine(line.id) }, now).map(entry);
  }
  yield* failedTriesResources(wardId, wardEntries, ward.policy.shifts.zone, known.ofTries).map(entry);
}

function lineResources(
  { id, entries }: LineCopy,
  state: LineState,
  { ward, animal }: { ward: WardState; animal: string },
  now: number,
): fhir4.FhirResource[] {
  const effective = effectiveEntries(entries);
  const line = aboutLine({ wardId: ward.id, lineId: id, animal }, state, ward.policy.shifts.zone);
  const known = identifier('line', `${ward.id}/${id}`);
  const doubts = doubtsOfReadings(id, effective, ward.policy);
  const faults = faultObservations(line, effective);
  const use = useOfCatheter(line, state, effective, known);
  const own = new Map(
    effective.map((one): [EffectiveEntry, EntryResource[]] => [
      one,
      resourcesOf(line, one, doubts.get(one.number) ?? null),
    ]),
  );
  const entryResources = effective.map(
    (one): EntryResources => ({
      effective: one,
      resources: [
        ...(own.get(one) ?? []),
        ...faults.flatMap(({ observation, numbers }) => (numbers.has(one.number) ? [observation] : [])),
        ...(use.numbers.has(one.number) ? [use.statement] : []),
      ],
    }),
  );
  const team = lineTeam(line, state, ward, now);
  const all: fhir4.FhirResource[] = [
    {
      resourceType: 'Device',
      id: line.deviceId,
      identifier: [known],
      status: state.removed ? 'inactive' : 'active',
      deviceName: [{ name: `Arterial catheter, ${state.gauge} G`, type: 'user-friendly-name' }],
      type: inWords('Arterial catheter'),
      patient: line.subject,
    },
    use.statement,
    ...[...own.values()].flat(),
    ...faults.map(({ observation }) => observation),
    ...openFindingFlags(line, state),
    ...(team ? [team] : []),
    ...dutiesOfLine(state, ward.policy, now).map((duty) => task(line, state, duty, ward, now)),
    ...provenances(line, entryResources, entries),
  ];
  return state.inError ? all.map(enteredInError) : all;
}

function task(line: AboutLine, state: LineState, duty: Duty, ward: WardState, now: number): fhir4.Task {
  const { claimed, cannot } = state.marks[duty.kind] ?? {};
  const isClaimed =
    claimed !== undefined && claimed.until > now && concernsDuty(duty.kind, claimed, duty.dueAt);
  const owner = isClaimed
    ? claimed.by
    : isClinicians(duty.kind)
      ? onCallAt(ward, now)
      : nurseOf(ward, state, now);
  const why =
    cannot && concernsDuty(duty.kind, cannot, duty.dueAt)
      ? (fhirText(cannot.reason) ?? 'no reason recorded')
      : null;
  return {
    resourceType: 'Task',
    id: line.id('task', duty.kind, duty.dueAt),
    status: isClaimed ? 'in-progress' : 'requested',
    intent: 'plan',
    priority: duty.dueAt < now ? 'urgent' : 'routine',
    code: inWords(dutyWords[duty.kind]),
    description: dutyWords[duty.kind],
    focus: line.device,
    for: line.subject,
    authoredOn: line.at(now),
    ...(owner === null ? {} : { owner: person(owner) }),
    reasonCode: inWords(duty.why),
    ...(cannot && why !== null
      ? {
          note: [
            {
              authorReference: person(cannot.by),
              time: line.at(cannot.at),
              text: `Could not be done: ${why}`,
            },
          ],
        }
      : {}),
    restriction: {
      period: { start: line.at(Math.min(duty.earliestAt, duty.dueAt)), end: line.at(duty.dueAt) },
    },
  };
}

function activityOf({ body, via }: EntryOf<'amended'>): string {
  return body.target === 1 && body.strike !== undefined
    ? `registered in error, recorded by ${via}: ${fhirText(body.strike) ?? 'no reason recorded'}`
    : `amended by ${via}`;
}

/** Who recorded each entry that is in the bundle, and who amended it. */
function provenances(
  line: AboutLine,
  entryResources: readonly EntryResources[],
  log: readonly Entry[],
): fhir4.Provenance[] {
  const amendments = Map.groupBy(
    log.flatMap((entry, index) => (entry.kind === 'amended' ? [{ number: index + 1, entry }] : [])),
    ({ entry }) => entry.body.target,
  );
  return entryResources.flatMap(({ resources, effective }) => {
    if (resources.length === 0) return [];
    const by = (number: number, entry: Entry, activity: string): fhir4.Provenance => ({
      resourceType: 'Provenance',
      id: line.id('provenance', effective.number, number),
      target: resources.map(({ id }) => within(id ?? '')),
      occurredDateTime: line.at(entry.at),
      recorded: line.at(entry.told),
      activity: inWords(activity),
      agent: [enterer(entry.by)],
    });
    const first = log[effective.number - 1] ?? effective.entry;
    return [
      by(effective.number, first, `recorded by ${first.via}`),
      ...(amendments.get(effective.number) ?? []).map(({ number, entry }) =>
        by(number, entry, activityOf(entry)),
      ),
    ];
  });
}
