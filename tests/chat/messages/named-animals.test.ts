import { describe, expect, it } from 'vitest';
import type { Patient } from '../../../src/domain/patient/patient.ts';
import { defaultPolicy } from '../../../src/domain/policy/ward-policy.ts';
import { animalPatient } from '../../../src/export/fhir-patient.ts';
import { recordCsv } from '../../../src/export/record-csv.ts';
import { beforeSampleWords } from '../../../src/wording/care/blood-words.ts';
import { animalWords } from '../../../src/wording/care/line-words.ts';
import { handoverTexts } from '../../support/handed-over.ts';
import { LineLog, testWard, wall } from '../../support/line-builder.ts';
import { composed, names, post } from './compose-for-test.ts';

type Animal = Pick<Patient, 'species' | 'weightKg' | 'speciesName'>;
const snomed = 'http://snomed.info/sct';

describe('an animal that is no dog and no cat', () => {
  // SNOMED CT codes: the eHDSI value set of animal species, OID 1.3.6.1.4.1.12559.11.10.1.3.1.42.72.
  it.each<[string, Animal, string | undefined]>([
    ['foal', { species: 'foal', weightKg: 48 }, '388445009'],
    ['calf', { species: 'calf', weightKg: 40 }, '34618005'],
    ['rabbit', { species: 'rabbit', weightKg: 2.1 }, undefined],
    ['pony', { species: 'horse', speciesName: 'pony', weightKg: 180 }, '388445009'],
    ['red panda', { species: 'other', speciesName: 'red panda', weightKg: 5 }, undefined],
    ['other animal', { species: 'other', weightKg: 5 }, undefined],
  ])('keeps its name on card, handover, CSV and FHIR: %s', async (name, animal, code) => {
    const log = new LineLog('20:00', { patient: { name: 'Mo', ...animal } });
    const line = log.state();
    const ward = testWard();
    const shown = `${name}, ${animal.weightKg} kg`;
    expect(animalWords(line)).toBe(shown);
    expect((await composed(post('card', '20:10', { lines: [line.id] }), ward, [line])).text).toContain(shown);
    const handed = await handoverTexts([log], ward, wall('20:10'), { names, forMs: wall('20:10') });
    expect(handed.patients).toContain(`Identify ${shown}`);

    const copy = {
      wardId: ward.id,
      wardEntries: [],
      lines: [{ id: line.id, listed: true, entries: log.entries }],
    };
    expect([...recordCsv(copy, defaultPolicy('UTC'))].join('')).toContain(`,Mo,${name},${animal.weightKg},`);
    const [extension] = animalPatient(line.patient, 'id', { system: 's', value: 'v' }).extension ?? [];
    const told = extension?.extension?.[0]?.valueCodeableConcept;
    expect(told?.text).toBe(name);
    expect(told?.coding?.map((one) => [one.system, one.code])).toEqual(
      code === undefined ? undefined : [[snomed, code]],
    );
  });

  it('is told by whose figure its blood is counted where its own is not known', () => {
    const before = (animal: Animal) =>
      beforeSampleWords(new LineLog('20:00', { patient: animal }).state(), testWard().policy, wall('20:10'));
    expect(before({ species: 'alpaca', weightKg: 60 })).toContain(
      '0 % of the circulating volume (counted at 55 mL/kg, the low end for mammals).',
    );
    expect(before({ species: 'bird', weightKg: 2 })).toContain('(counted at 60 mL/kg, a chicken’s)');
    expect(before({ species: 'horse', weightKg: 520 })).not.toContain('counted at');
  });
});

it('a handover says once which artery, of an animal with two lines, and that the look at a puncture is late', async () => {
  const left = new LineLog('20:00', { patient: { name: 'Rex' } }, 'a').add('siteChecked', '21:00', {
    finding: { swelling: true },
  });
  const right = new LineLog('20:00', { patient: { name: 'Rex' }, side: 'right' }, 'b')
    .add('zeroed', '20:05', {})
    .add('levelled', '20:05', {})
    .add('fastFlushTested', '20:06', { verdict: 'normal' })
    .add('removed', '21:00', { reason: 'planned' });
  const { first } = await handoverTexts([left, right], testWard(), wall('21:20'), { names });
  expect(first).toMatch(/Rex\W* \(dog, L dorsal pedal\): swelling/);
  expect(first).toMatch(
    /Watch[^]*Rex\W* \(dog, R dorsal pedal\): out 21:00, look at the puncture overdue since 21:05\. → Look now; oozes: press, call/,
  );
});
