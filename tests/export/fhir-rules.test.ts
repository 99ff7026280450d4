import { describe, expect, test } from 'vitest';
import { defaultPolicy } from '../../src/domain/policy/ward-policy.ts';
import { fhirBundle } from '../../src/export/fhir-bundle.ts';
import { ruleFaults, unitFaults } from './fhir-rules.ts';
import { nightWard } from './ward-copies.ts';

type Any = Record<string, unknown>;

const { copy, now } = nightWard();
const sound = () => JSON.parse(JSON.stringify(fhirBundle(copy, defaultPolicy('UTC'), now))) as fhir4.Bundle;

/** The bundle with its first resource of a type put otherwise. */
function spoiled(type: string, change: (resource: Any, bundle: Any) => void): fhir4.Bundle {
  const bundle = sound();
  const found = bundle.entry?.find(({ resource }) => resource?.resourceType === type)?.resource;
  if (!found) throw new Error(`there is no ${type}`);
  change(found as unknown as Any, bundle as unknown as Any);
  return bundle;
}

/** Words of a concept. */
const words = (text: string) => ({ text });
const code = { coding: [{ system: 'http://loinc.org', code: '1-8' }] };

// Each invariant as HL7 publishes it for R4 4.0.1: a rule that nothing can break proves nothing.
describe('the rules that HL7 publishes for R4', () => {
  test('find nothing against a bundle as it is made', () => {
    expect(ruleFaults(sound())).toEqual([]);
    expect(unitFaults(sound())).toEqual([]);
  });

  test.each<[key: string, type: string, change: (resource: Any, bundle: Any) => void]>([
    ['bdl-1', 'Patient', (_, bundle) => (bundle['total'] = 3)],
    ['bdl-2', 'Patient', (_, bundle) => first(bundle, (one) => (one['search'] = { mode: 'match' }))],
    ['bdl-4', 'Patient', (_, bundle) => each(bundle, (one) => (one['response'] = { status: '200' }))],
    [
      'bdl-3',
      'Patient',
      (_, bundle) => each(bundle, (one) => (one['request'] = { method: 'PUT', url: 'x' })),
    ],
    ['bdl-5', 'Patient', (_, bundle) => first(bundle, (one) => delete one['resource'])],
    ['bdl-7', 'Patient', (_, bundle) => each(bundle, (one) => (one['fullUrl'] = 'urn:uuid:1'))],
    [
      'bdl-8',
      'Patient',
      (_, bundle) => first(bundle, (one) => (one['fullUrl'] = 'http://a/Patient/1/_history/2')),
    ],
    [
      'ctm-1',
      'CareTeam',
      (it) => (it['participant'] = [{ onBehalfOf: { display: 'x' }, member: { display: 'y' } }]),
    ],
    ['ele-1', 'Observation', (it) => (it['bodySite'] = {})],
    [
      'ext-1',
      'Patient',
      (it) =>
        (it['extension'] = [{ url: 'a', valueString: 'b', extension: [{ url: 'c', valueString: 'd' }] }]),
    ],
    ['obs-3', 'Observation', (it) => (it['referenceRange'] = [{ appliesTo: [words('x')] }])],
    ['obs-6', 'Observation', (it) => Object.assign(it, { valueString: 'a', dataAbsentReason: words('b') })],
    [
      'obs-7',
      'Observation',
      (it) => Object.assign(it, { code, valueString: 'a', component: [{ code, valueString: 'b' }] }),
    ],
    ['pat-1', 'Patient', (it) => (it['contact'] = [{ gender: 'female' }])],
    [
      'per-1',
      'DeviceUseStatement',
      (it) => (it['timingPeriod'] = { start: '2026-01-02', end: '2026-01-01' }),
    ],
    ['qty-3', 'Observation', (it) => Object.assign(it, { valueQuantity: { value: 1, code: 'kg' } })],
    ['ref-1', 'Observation', (it) => (it['subject'] = { reference: '#nothing' })],
    ['inv-1', 'Task', (it) => (it['lastModified'] = '1999-01-01')],
  ])('break by %s where a %s is spoiled for it', (key, type, change) => {
    expect(ruleFaults(spoiled(type, change)).join('\n')).toContain(`: ${key}: `);
  });

  test.each<[what: string, said: string, type: string, change: (resource: Any) => void]>([
    ['an unknown element', 'Procedure).weight: no such element', 'Procedure', (it) => (it['weight'] = 3)],
    ['a missing element', 'Procedure).subject: missing', 'Procedure', (it) => delete it['subject']],
    ['a list of what stands once', 'status: 1 of it', 'Procedure', (it) => (it['status'] = ['completed'])],
    ['an empty list', 'bodySite: empty', 'Procedure', (it) => (it['bodySite'] = [])],
    [
      'a reference out of the bundle',
      'Patient/9 is not in the bundle',
      'Procedure',
      (it) => (it['subject'] = { reference: 'Patient/9' }),
    ],
    [
      'a reference to the wrong type',
      ': Device, of Patient|Group',
      'Procedure',
      (it) => (it['subject'] = deviceOf(it)),
    ],
    [
      'a reference to nothing',
      'a reference to nothing',
      'Procedure',
      (it) => (it['subject'] = { display: 'x' }),
    ],
    ['a contained resource', 'contained: dom-2', 'Patient', (it) => (it['contained'] = [device])],
    ['a narrative', 'text: txt-1', 'Patient', (it) => (it['text'] = { status: 'generated', div: '<div/>' })],
    [
      'an animal without its species',
      ': 0 of species',
      'Patient',
      (it) => (it['extension'] = [{ ...animal, extension: [] }]),
    ],
  ])('find %s', (_, said, type, change) => {
    expect(ruleFaults(spoiled(type, change)).join('\n')).toContain(said);
  });

  // mmHg is no code of UCUM: mm[Hg] is (ucum.org, table of units).
  test('find a unit that UCUM does not know', () => {
    const bundle = spoiled('Observation', (it) =>
      Object.assign(it, { valueQuantity: { value: 1, system: 'http://unitsofmeasure.org', code: 'mmHg' } }),
    );
    expect(unitFaults(bundle)).toEqual(['mmHg']);
  });
});

const device = { resourceType: 'Device', id: 'd' };
const animal = { url: 'http://hl7.org/fhir/StructureDefinition/patient-animal' };

function deviceOf(procedure: Any): unknown {
  return (procedure['focalDevice'] as { manipulated: unknown }[])[0]?.manipulated;
}

function each(bundle: Any, change: (entry: Any) => void): void {
  for (const entry of bundle['entry'] as Any[]) change(entry);
}

function first(bundle: Any, change: (entry: Any) => void): void {
  const [entry] = bundle['entry'] as Any[];
  if (entry) change(entry);
}
