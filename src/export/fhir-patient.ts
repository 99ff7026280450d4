import type { Patient } from '../domain/patient/patient.ts';
import { animalName } from '../wording/care/animal-names.ts';
import { fhirText, type identifier } from './fhir-values.ts';

/** HL7's extension that says a Patient is an animal. */
const animalExtension = 'http://hl7.org/fhir/StructureDefinition/patient-animal';

/**
 * SNOMED CT codes of species: dog and cat, and of the others those of the European eHDSI value set of animal species
 * (OID 1.3.6.1.4.1.12559.11.10.1.3.1.42.72), whose horse is the genus. Other animals are given in words alone.
 */
const speciesCodes: Partial<Record<Patient['species'], { code: string; display: string }>> = {
  dog: { code: '448771007', display: 'Canis lupus subspecies familiaris' },
  cat: { code: '448169003', display: 'Felis catus' },
  'guinea pig': { code: '125076001', display: 'Domestic Guinea pig' },
  horse: { code: '388445009', display: 'Equus' },
  foal: { code: '388445009', display: 'Equus' },
  donkey: { code: '388445009', display: 'Equus' },
  cattle: { code: '34618005', display: 'Bos taurus' },
  calf: { code: '34618005', display: 'Bos taurus' },
  sheep: { code: '125099002', display: 'Ovis aries' },
  goat: { code: '125097000', display: 'Capra hircus' },
};

/** An animal as a Patient with HL7's extension that says it is one, and of which species. */
export function animalPatient(
  patient: Pick<Patient, 'name' | 'species' | 'speciesName'>,
  id: string,
  known: ReturnType<typeof identifier>,
): fhir4.Patient {
  const text = fhirText(patient.name);
  const code = speciesCodes[patient.species];
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
              text: fhirText(animalName(patient)) ?? patient.species,
            },
          },
        ],
      },
    ],
    ...(text === null ? {} : { name: [{ text }] }),
  };
}
