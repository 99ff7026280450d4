import { createHash } from 'node:crypto';

/** Systems of our own identifiers. They name the record, not a place on the web. */
const identifierSystems = {
  ward: 'urn:dicrotic:ward',
  line: 'urn:dicrotic:line',
  entry: 'urn:dicrotic:entry',
  user: 'urn:dicrotic:chat-user',
} as const;

/** An invented namespace that makes our names different from anybody else's. */
const namespace = Buffer.from('8c6f0b1e5d0a4f0f9a53d1c0715e0a11', 'hex');

/** A UUID that is always the same for the same name: version 5, RFC 4122 section 4.3. */
export function uuidOf(...name: readonly (string | number)[]): string {
  const bytes = createHash('sha1').update(namespace).update(JSON.stringify(name)).digest().subarray(0, 16);
  bytes[6] = ((bytes[6] ?? 0) & 0x0f) | 0x50;
  bytes[8] = ((bytes[8] ?? 0) & 0x3f) | 0x80;
  return bytes.toString('hex').replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, '$1-$2-$3-$4-$5');
}

/** A reference to a resource of the same bundle. */
export function within(uuid: string): fhir4.Reference {
  return { reference: `urn:uuid:${uuid}` };
}

/**
 * Text as a FHIR string may hold it: no control characters but tab and line ends, no outer blanks, not empty, plain
 * blanks only; null when nothing is left.
 */
export function fhirText(text: string): string | null {
  const plain = text
    .toWellFormed()
    .replaceAll(/[^\P{Cc}\t\r\n]/gu, '\uFFFD')
    .replaceAll(/[^\S\t\r\n]/gu, ' ')
    .trim();
  return plain === '' ? null : plain;
}

/** A concept in words alone, where no code is certain. */
export function inWords(text: string): fhir4.CodeableConcept {
  return { text: fhirText(text) ?? '–' };
}

/** Somebody of the ward, by the id the chat knows them by. */
export function person(user: string): fhir4.Reference {
  const value = fhirText(user) ?? '–';
  return { identifier: { system: identifierSystems.user, value }, display: value };
}

/** Whoever recorded something, as the agent of its provenance. */
export function enterer(user: string): fhir4.ProvenanceAgent {
  const system = 'http://terminology.hl7.org/CodeSystem/provenance-participant-type';
  return { type: { coding: [{ system, code: 'enterer', display: 'Enterer' }] }, who: person(user) };
}

/** HL7's category of a flag that is there for safety. */
export const safety: fhir4.CodeableConcept = {
  coding: [
    { system: 'http://terminology.hl7.org/CodeSystem/flag-category', code: 'safety', display: 'Safety' },
  ],
};

export function identifier(what: keyof typeof identifierSystems, value: string): fhir4.Identifier {
  return { system: identifierSystems[what], value: fhirText(value) ?? '–' };
}

/** A quantity with its unit as UCUM (unitsofmeasure.org) codes it. */
export function quantity(value: number, unit: string, ucum: string): fhir4.Quantity {
  return { value, unit, system: 'http://unitsofmeasure.org', code: ucum };
}

/** Millimetres of mercury, by UCUM. */
export const mmHg = (value: number) => quantity(value, 'mmHg', 'mm[Hg]');

/** Millilitres, by UCUM. */
export const ml = (value: number) => quantity(value, 'mL', 'mL');
