import type { Patient } from '../domain/patient/patient.ts';
import { fhirText, type identifier } from './fhir-values.ts';

/** HL7's extension that says a Patient is an animal. */
const animalExtension = 'http://hl7.org/fhir/StructureDefinition/patient-animal';

/** SNOMED CT codes of species; the cat's is from memory. Others are told in words alone. */
const speciesCodes: Partial<Record<Patient['species'], { code: string; display: string }>> = {
  dog: { code: '448771007', display: 'Canis lupus subspecies familiaris' },
  cat: { code: '448169003', display: 'Felis catus' },
};

/** An animal as a Patient with HL7's extension that says it is one, and of which species. */
export function animalPatient(
  { name, species }: Pick<Patient, 'name' | 'species'>,
  id: string,
  known: ReturnType<typeof identifier>,
): fhir4.Patient {
  const text = fhirText(name);
  const code = speciesCodes[species];
  return {
    resourceType: 'Patient',
    id,
    identifier: [known],
    extension: [
      {
        url: animalExtension,
        extension: [
          {
            url: 'species',
            valueCodeableConcept: {
              ...(code ? { coding: [{ system: 'http://snomed.info/sct', ...code }] } : {}),
              text: species,
            },
          },
        ],
      },
    ],
    ...(text === null ? {} : { name: [{ text }] }),
  };
}
