import { describe, expect, test } from 'vitest';
import { defaultPolicy } from '../../src/domain/policy/ward-policy.ts';
import type { WardEntry } from '../../src/domain/ward/ward-entry.ts';
import { fhirBundle } from '../../src/export/fhir-bundle.ts';
import { LineLog, testWard, wall } from '../support/line-builder.ts';
import { ruleFaults, unitFaults } from './fhir-rules.ts';
import { libraryFaults, schemaFaults } from './fhir-validators.ts';

const policy = defaultPolicy('UTC');
const wardId = 'T0TEST.C0WARD';
const now = wall('03:00');
const head = { at: wall('19:00'), told: wall('19:05'), by: 'nell', via: 'form' } as const;
const policySet: WardEntry = { ...head, kind: 'policySet', body: { policy: testWard().policy } };
const policyOnly: WardEntry = {
  ...head,
  kind: 'policySet',
  body: { policy: testWard({ rota: {} }).policy },
};

/** The bundle of one line, or of none, which every validator takes. */
function bundleOf(line: LineLog | null, wardEntries: WardEntry[] = [policySet]): fhir4.Bundle {
  const lines = line ? [{ id: 'x', listed: true, entries: line.entries }] : [];
  const made = JSON.parse(
    JSON.stringify(fhirBundle({ wardId, wardEntries, lines }, policy, now)),
  ) as fhir4.Bundle;
  expect([schemaFaults(made), libraryFaults(made), ruleFaults(made), unitFaults(made)]).toEqual([
    [],
    [],
    [],
    [],
  ]);
  return made;
}

function all<T extends fhir4.FhirResource['resourceType']>(of: fhir4.Bundle, type: T) {
  return (of.entry ?? []).flatMap(({ resource }) =>
    resource?.resourceType === type ? [resource as Extract<fhir4.FhirResource, { resourceType: T }>] : [],
  );
}

/** Observations of a name, with each value and each part as [what, number or words, code of its unit]. */
function parts(of: fhir4.Bundle, name: string) {
  return all(of, 'Observation')
    .filter(({ code }) => code.text === name)
    .map(({ component }) =>
      component?.map(({ code, valueQuantity: q, valueCodeableConcept: concept }) => [
        code.text,
        q?.value ?? concept?.text,
        ...(q ? [q.code ?? `${q.unit}, no code`] : []),
      ]),
    );
}

const provenanceOf = (of: fhir4.Bundle, { id }: { id?: string | undefined }) =>
  all(of, 'Provenance').filter(({ target }) =>
    target.some(({ reference }) => reference === `urn:uuid:${id}`),
  );

describe('before placing', () => {
  test('a caution found later has no mitigation before a clinician decided on it', () => {
    const made = bundleOf(
      new LineLog('20:00', {
        screening: {
          cautions: ['bleeding disorder', 'broken skin'],
          override: { clinician: 'vet', at: wall('19:50'), reason: 'needed for theatre' },
          undecided: ['bleeding disorder'],
        },
      }),
    );
    expect(all(made, 'DetectedIssue').map(({ mitigation }) => mitigation?.length ?? 0)).toEqual([0, 1]);
  });

  // hl7.org/fhir/R4/detectedissue.html: "Procedure-condition conflict"; mitigation has action, date and author.
  test('each caution is an issue with the placing, and the clinician’s decision its mitigation', () => {
    const made = bundleOf(
      new LineLog('20:00', {
        screening: {
          cautions: ['bleeding disorder', 'broken skin'],
          override: { clinician: 'vet', at: wall('19:50'), reason: 'needed for theatre' },
        },
      }),
    );
    const [placing] = all(made, 'Procedure');
    expect(
      all(made, 'DetectedIssue').map(({ status, code, implicated, mitigation }) => [
        status,
        code?.text,
        implicated?.[0]?.reference,
        mitigation?.map(({ action, date, author }) => [action.text, date, author?.display]),
      ]),
    ).toEqual(
      ['bleeding disorder', 'broken or infected skin at the site'].map((caution) => [
        'final',
        `Speaks against an arterial line: ${caution}`,
        `urn:uuid:${placing?.id}`,
        [['Placed in spite of it: needed for theatre', '2026-11-24T19:50:00.000+01:00', 'vet']],
      ]),
    );
  });

  test('looked at and none found is told, and is not the same as not looked at', () => {
    const screened = (screening?: { cautions: [] }) =>
      all(bundleOf(new LineLog('20:00', screening ? { screening } : {})), 'Observation')
        .filter(({ code }) => code.text?.includes('looked at before placing'))
        .map(({ valueCodeableConcept }) => valueCodeableConcept?.text);
    expect([screened({ cautions: [] }), screened()]).toEqual([['none found'], []]);
  });

  test('who placed it, in how many tries, of what weight and that it bleeds can be found', () => {
    const made = bundleOf(
      new LineLog('20:00', { operator: 'noor', tries: 3, patient: { weightKg: 27.35, bleeding: true } }),
    );
    const [placing] = all(made, 'Procedure');
    expect(placing?.performer?.[0]?.actor.display).toBe('noor');
    const observations = all(made, 'Observation');
    expect(observations.find(({ valueInteger }) => valueInteger !== undefined)).toMatchObject({
      code: { text: 'Attempts at this artery, including the successful one' },
      valueInteger: 3,
      partOf: [{ reference: `urn:uuid:${placing?.id}` }],
    });
    // hl7.org/fhir/R4/bodyweight.html: LOINC 29463-7, in kg, category vital-signs.
    expect(observations.find(({ code }) => code.coding?.[0]?.code === '29463-7')).toMatchObject({
      category: [{ coding: [{ code: 'vital-signs' }] }],
      valueQuantity: { value: 27.35, system: 'http://unitsofmeasure.org', code: 'kg' },
    });
    expect(all(made, 'Flag').map(({ status, code, category }) => [status, code.text, category])).toEqual([
      ['active', 'Bleeding disorder', [{ coding: [expect.objectContaining({ code: 'safety' })] }]],
    ]);
  });

  // hl7.org/fhir/R4/valueset-event-status.html: stopped, after at least some of the main activity has occurred.
  test('tries that came to no line are a placing that was stopped, of an animal of its own', () => {
    const tries = (patient: { name: string; species: 'cat' | 'dog' }): WardEntry => ({
      ...head,
      kind: 'triesFailed',
      body: {
        patient,
        site: 'radial',
        side: 'left',
        gauge: 22,
        operator: 'noor',
        tries: 2,
        why: 'haematoma',
      },
    });
    const made = bundleOf(null, [
      policyOnly,
      tries({ name: 'Miso', species: 'cat' }),
      tries({ name: 'Miso', species: 'cat' }),
      { ...head, kind: 'triesStruck', body: { target: 3 } },
    ]);
    expect(all(made, 'Patient').map(({ name }) => name?.[0]?.text)).toEqual(['Miso']);
    const [procedure] = all(made, 'Procedure');
    expect(procedure).toMatchObject({
      status: 'stopped',
      statusReason: { text: 'haematoma' },
      performedDateTime: '2026-11-24T19:00:00.000+01:00',
      bodySite: [{ text: 'left radial artery' }],
      performer: [{ actor: { display: 'noor' } }],
      usedCode: [{ text: 'Arterial catheter, 22 G' }],
    });
    expect(all(made, 'Observation').map(({ valueInteger }) => valueInteger)).toEqual([2]);
    expect(
      provenanceOf(made, procedure ?? {}).map(({ agent, recorded }) => [agent[0]?.who.display, recorded]),
    ).toEqual([['nell', '2026-11-24T19:05:00.000+01:00']]);
  });
});

describe('while it lay', () => {
  // UCUM: mL, mL/h, mm[Hg]. Heparin's unit has several codes there, and the record does not say which was meant.
  test('the flush source is what it was at placing, at each change and when it was looked at', () => {
    const made = bundleOf(
      new LineLog('20:00', {
        flushMode: 'continuous',
        source: { kind: 'pressure bag', volumeMl: 500, rateMlPerH: 3, pressureMmHg: 300, heparinUPerMl: 0.5 },
      })
        .add('sourceChecked', '21:00', { pressureMmHg: 280, volumeLeftMl: 490 })
        .add('sourceChecked', '21:30', {})
        .add('sourceChanged', '22:00', { source: { kind: 'syringe', volumeMl: 50 }, newSet: true })
        .add('flushModeChanged', '23:00', { mode: 'manual' }),
    );
    expect(parts(made, 'Flush source of the line')).toEqual([
      [
        ['Flush source', 'pressure bag'],
        ['Volume', 500, 'mL'],
        ['Rate', 3, 'mL/h'],
        ['Pressure of the bag', 300, 'mm[Hg]'],
        ['Heparin', 0.5, 'U/mL, no code'],
      ],
      [
        ['Flush source', 'syringe'],
        ['Volume', 50, 'mL'],
      ],
    ]);
    expect(parts(made, 'Flush source as checked')).toEqual([
      [
        ['Pressure of the bag', 280, 'mm[Hg]'],
        ['Volume left', 490, 'mL'],
      ],
    ]);
    expect(all(made, 'Procedure').map(({ code }) => code?.text)).toEqual([
      'Placing of an arterial line',
      'Check of the flush source',
      'Check of the flush source',
      'Change of flush source, transducer set and tubing',
      'Change to flushing by hand',
    ]);
  });

  test('a fault is one observation from its opening to its close, with what was asked and found', () => {
    const made = bundleOf(
      new LineLog('20:00')
        .add('faultOpened', '21:00', { sign: 'none' })
        .add('faultOpened', '21:01', { sign: 'flat' })
        .add('faultStep', '21:02', { step: 'flat.patient', answer: 'well' })
        .add('faultStep', '21:03', { step: 'flat.kink', answer: 'freed' })
        .add('faultStep', '21:04', { step: 'flat.kink.fixed', answer: 'solved' }, { by: 'vet' })
        .add('faultClosed', '21:05', { resolved: true, sign: 'flat' }),
    );
    const faults = all(made, 'Observation').filter(({ code }) => code.text === 'Fault of the pressure trace');
    expect(
      faults.map(({ status, effectivePeriod, valueCodeableConcept }) => [
        status,
        effectivePeriod?.start?.slice(11, 16),
        effectivePeriod?.end?.slice(11, 16),
        valueCodeableConcept?.text,
      ]),
    ).toEqual([
      ['preliminary', '21:00', undefined, 'no trace'],
      ['final', '21:01', '21:05', 'flat'],
    ]);
    expect(parts(made, 'Fault of the pressure trace')[1]?.map(([, found]) => found)).toEqual([
      'pulse, colour and cuff as before',
      'bent catheter straightened',
      'solved',
      'resolved',
    ]);
    expect(provenanceOf(made, faults[1] ?? {}).map(({ agent }) => agent[0]?.who.display)).toEqual([
      'nina',
      'nina',
      'nina',
      'vet',
      'nina',
    ]);
  });

  test('notes, what could not be done and what a clinician let go stand on the use of the catheter', () => {
    const line = new LineLog('20:00', { indication: 'septic abdomen' }).inOrder('20:05');
    const due = line.duty('flush', testWard().policy, '21:30')?.dueAt ?? 0;
    line
      .add('noted', '21:00', { text: ' owner rings at 8 ' })
      .add('noted', '21:30', { text: 'resists', cannot: ['flush', due] })
      .add(
        'waived',
        '21:40',
        { duty: 'redress', dueAt: wall('08:00'), reason: 'skin sore', until: wall('2026-11-25 12:00') },
        { by: 'vet' },
      )
      .add('siteChecked', '21:50', { finding: {}, note: 'hair grows back' });
    const made = bundleOf(line);
    const [use, ...more] = all(made, 'DeviceUseStatement');
    expect(more).toEqual([]);
    expect(use).toMatchObject({
      status: 'active',
      timingPeriod: { start: '2026-11-24T20:00:00.000+01:00' },
      reasonCode: [{ text: 'septic abdomen' }],
      bodySite: { text: 'left dorsal pedal artery' },
    });
    expect(
      use?.note?.map(({ authorReference, time, text }) => [
        authorReference?.display,
        time?.slice(11, 16),
        text,
      ]),
    ).toEqual([
      ['nina', '21:00', 'owner rings at 8'],
      ['nina', '21:30', 'Could not be done: Flush by hand. Reason: resists'],
      [
        'vet',
        '21:40',
        'Let go by a clinician until 2026-11-25T12:00:00.000+01:00: Redress. Reason: skin sore',
      ],
    ]);
    expect(all(made, 'Task').find(({ code }) => code?.text === 'Flush by hand')?.note?.[0]).toMatchObject({
      text: 'Could not be done: resists',
      authorReference: { display: 'nina' },
    });
    expect(all(made, 'Observation').find(({ note }) => note)?.note).toEqual([{ text: 'hair grows back' }]);
  });

  // f_n and ζ as docs/strip-accuracy.md has them: Hz, and a number without a unit, 1 in UCUM.
  test('a test that was measured gives its numbers, and a disturbance is told', () => {
    const made = bundleOf(
      new LineLog('20:00')
        .add('fastFlushTested', '20:10', {
          verdict: 'normal',
          heartRatePerMin: 110,
          read: { naturalHz: 22.5, damping: 0.31 },
        })
        .add('fastFlushTested', '20:20', { verdict: 'overdamped', read: { naturalHz: null, damping: null } })
        .add('disturbed', '20:30', { how: 'moved' }),
    );
    expect(parts(made, 'Fast-flush test of the line')).toEqual([
      [
        ['Natural frequency', 22.5, 'Hz'],
        ['Damping coefficient', 0.31, '1'],
        ['Heart rate', 110, '/min'],
      ],
      undefined,
    ]);
    expect(
      all(made, 'Observation').find(({ code }) => code.text === 'Disturbance of the line')
        ?.valueCodeableConcept,
    ).toEqual({ text: 'moved' });
  });
});

describe('with whom, and what to beware of', () => {
  test('a line in has its nurse, those it is given to for a shift to come, and who is on call', () => {
    const line = new LineLog('20:00')
      .add('assigned', '21:00', { nurse: 'noor' })
      .add('assigned', '21:10', { nurse: 'ina', from: wall('07:00') });
    const made = bundleOf(line, [
      policySet,
      { ...head, kind: 'coverSet', body: { away: 'noor', by: 'teo', until: wall('06:00') } },
    ]);
    const teams = all(made, 'CareTeam').map(({ name, subject, participant }) => [
      name,
      subject !== undefined,
      participant?.map(({ role, member, period }) => [
        role?.[0]?.text,
        member?.display ?? member?.reference,
        period?.start?.slice(11, 16),
      ]),
    ]);
    const [onCall] = all(made, 'CareTeam');
    expect(teams).toEqual([
      ['On call for the ward', false, [['Clinician on call', 'vet', undefined]]],
      [
        'With whom the line is',
        true,
        [
          ['Nurse the line is with, in another’s place', 'teo', undefined],
          ['Nurse the line is with, away and covered', 'noor', undefined],
          ['Nurse the line is given to for a shift to come', 'ina', '07:00'],
          ['On call', `urn:uuid:${onCall?.id}`, undefined],
        ],
      ],
    ]);
    expect(all(made, 'Task').find(({ code }) => code?.text === 'Flush by hand')?.owner?.display).toBe('teo');
  });

  test('a line that is out is with nobody, and its catheter’s use has ended', () => {
    const made = bundleOf(
      new LineLog('20:00')
        .add('removed', '01:00', { reason: 'planned', tipWhole: false })
        .add('holdEnded', '01:06', { oozing: true }),
      [policyOnly],
    );
    expect(all(made, 'CareTeam')).toEqual([]);
    expect(all(made, 'DeviceUseStatement')[0]).toMatchObject({
      status: 'completed',
      timingPeriod: { start: '2026-11-24T20:00:00.000+01:00', end: '2026-11-25T01:00:00.000+01:00' },
    });
    expect(all(made, 'Flag').map(({ code }) => code.text)).toEqual([
      'Catheter came out not whole, the piece was not found',
    ]);
    expect(
      all(made, 'Observation').find(({ code }) => code.text === 'Look at the puncture after holding pressure')
        ?.valueCodeableConcept?.text,
    ).toBe('still oozing, held again');
  });

  test('a finding is a flag until it is found gone', () => {
    const line = new LineLog('20:00').add('siteChecked', '21:00', {
      finding: { swelling: true, noPulse: true },
    });
    const flags = () => all(bundleOf(line), 'Flag').map(({ code }) => code.text);
    expect(flags()).toEqual(['At or below the site of the line: swelling, no pulse']);
    line.add('siteChecked', '22:00', { finding: {} });
    expect(flags()).toEqual([]);
  });

  test('several things of one entry never share an identifier', () => {
    const made = bundleOf(
      new LineLog('20:00', {
        tries: 2,
        source: { kind: 'syringe' },
        screening: { cautions: ['cat', 'clotting unknown'] },
      }),
    );
    for (const type of ['Observation', 'DetectedIssue', 'Procedure'] as const) {
      const values = all(made, type).map(({ identifier }) => identifier?.[0]?.value);
      expect(new Set(values).size).toBe(values.length);
    }
  });
});
