import type { EffectiveEntry } from '../domain/record/effective-entries.ts';
import type { LineState } from '../domain/record/line-state.ts';
import { identifier, inWords, uuidOf, within } from './fhir-values.ts';
import { wallIso } from './record-csv.ts';

/** What every resource about one line has in common: the same animal, catheter and artery, by the ward's clock. */
export interface AboutLine {
  lineId: string;
  /** The id of a resource about this line, always the same for the same name. */
  id(...name: (string | number)[]): string;
  /** An instant (ms) by the ward's clock. */
  at(instant: number): string;
  patientId: string;
  deviceId: string;
  /** The animal. */
  subject: fhir4.Reference;
  /** The catheter. */
  device: fhir4.Reference;
  bodySite: fhir4.CodeableConcept;
  /** Something done to the line at `happened` (ms), as entry `number` of its log records. */
  procedure(number: number, what: string, happened: number): fhir4.Procedure;
  /**
   * Something seen or measured, as an entry records it. `name`: which of several things of one entry it is, so that each has an
   * id and identifier of its own.
   */
  observation(
    effective: EffectiveEntry,
    what: string,
    sort: ObservationSort,
    name?: string,
  ): fhir4.Observation;
}

/** HL7's categories of observations that are in use here. */
const categories = { 'vital-signs': 'Vital Signs', exam: 'Exam', procedure: 'Procedure' } as const;
type ObservationSort = keyof typeof categories;

/** The id of an animal's Patient, the same for each of its lines. */
export function animalId(wardId: string, animal: string): string {
  return uuidOf(wardId, 'animal', animal, 'patient');
}

/** What the resources of one line have in common; `animal`: whose it is; `zone`: of the ward's clocks. */
export function aboutLine(
  { wardId, lineId, animal }: { wardId: string; lineId: string; animal: string },
  state: LineState,
  zone: string,
): AboutLine {
  const id = (...name: (string | number)[]) => uuidOf(wardId, lineId, ...name);
  const patientId = animalId(wardId, animal);
  const deviceId = id('device');
  const subject = within(patientId);
  const device = within(deviceId);
  const at = (instant: number) => wallIso(instant, zone);
  const bodySite = arteryOf(state);
  return {
    lineId,
    id,
    at,
    patientId,
    deviceId,
    subject,
    device,
    bodySite,
    procedure: (number, what, happened) => ({
      resourceType: 'Procedure',
      id: id('entry', number),
      identifier: [identifier('entry', `${lineId}#${number}`)],
      status: 'completed',
      code: inWords(what),
      subject,
      performedDateTime: at(happened),
      bodySite: [bodySite],
      focalDevice: [{ manipulated: device }],
    }),
    observation: ({ number, entry, amended }, what, sort, name) => ({
      resourceType: 'Observation',
      id: id(name ?? 'entry', number),
      identifier: [identifier('entry', `${lineId}#${number}${name === undefined ? '' : `/${name}`}`)],
      status: amended ? 'amended' : 'final',
      category: [categoryOf(sort)],
      code: inWords(what),
      subject,
      effectiveDateTime: at(entry.at),
      issued: at(entry.told),
      device,
    }),
  };
}

/** An artery in words: `left dorsal pedal artery`. */
export function arteryOf({
  site,
  side,
}: Pick<LineState, 'site'> & { side?: LineState['side'] | undefined }): fhir4.CodeableConcept {
  return inWords(`${side ? `${side} ` : ''}${site} artery`);
}

/** The category of an observation, by HL7's own code system. */
function categoryOf(sort: ObservationSort): fhir4.CodeableConcept {
  const system = 'http://terminology.hl7.org/CodeSystem/observation-category';
  return { coding: [{ system, code: sort, display: categories[sort] }] };
}
