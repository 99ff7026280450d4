import type { Screening } from '../domain/placing/screening.ts';
import type { EffectiveEntry } from '../domain/record/effective-entries.ts';
import type { WardEntry } from '../domain/ward/ward-entry.ts';
import { type AboutLine, animalId, arteryOf } from './fhir-line.ts';
import { enterer, fhirText, identifier, inWords, person, uuidOf, within } from './fhir-values.ts';
import { cautionWords } from './fhir-words.ts';
import { wallIso } from './record-csv.ts';

/**
 * What was looked at before a line was placed, as an observation, and each caution found as an issue detected with its
 * placing (a conflict of procedure and condition). The clinician who let it be placed in spite of them is the issue's
 * mitigation.
 */
export function screeningResources(
  line: AboutLine,
  placed: EffectiveEntry,
  { cautions, override, undecided }: Screening,
): (fhir4.Observation | fhir4.DetectedIssue)[] {
  const placing = within(line.id('entry', placed.number));
  const when = placed.entry.at;
  const reason = override && (fhirText(override.reason) ?? '–');
  const observation: fhir4.Observation = {
    ...line.observation(placed, screeningWords, 'exam', 'screening'),
    partOf: [placing],
    valueCodeableConcept: inWords(
      cautions.length === 0 ? 'none found' : cautions.map((caution) => cautionWords[caution]).join('; '),
    ),
    ...(override && reason
      ? {
          note: [
            {
              authorReference: person(override.clinician),
              time: line.at(override.at),
              text: `Decided to place it: ${reason}`,
            },
          ],
        }
      : {}),
  };
  return [
    observation,
    ...cautions.map(
      (caution): fhir4.DetectedIssue => ({
        resourceType: 'DetectedIssue',
        id: line.id('caution', placed.number, caution),
        identifier: [identifier('entry', `${line.lineId}#${placed.number}/${caution}`)],
        status: placed.amended ? 'amended' : 'final',
        code: inWords(`Speaks against an arterial line: ${cautionWords[caution]}`),
        patient: line.subject,
        identifiedDateTime: line.at(when),
        implicated: [placing],
        evidence: [{ detail: [within(observation.id ?? '')] }],
        // What was found later, and nobody decided on yet, was no part of what was decided.
        ...(override && reason && !undecided?.includes(caution)
          ? {
              mitigation: [
                {
                  action: inWords(`Placed in spite of it: ${reason}`),
                  date: line.at(override.at),
                  author: person(override.clinician),
                },
              ],
            }
          : {}),
      }),
    ),
  ];
}

const screeningWords = 'What speaks against an arterial line, looked at before placing';

/**
 * Tries that came to no line: each reports a placing that was stopped and why, how many tries it took, and who recorded it. Those
 * that were struck are left out. `zone`: of the ward's clocks. `animalOf`: whose they were, by the number of their entry.
 */
export function failedTriesResources(
  wardId: string,
  wardEntries: readonly WardEntry[],
  zone: string,
  animalOf: (number: number) => string,
): fhir4.FhirResource[] {
  const struck = new Set(
    wardEntries.flatMap(({ kind, body }) => (kind === 'triesStruck' ? [body.target] : [])),
  );
  return wardEntries.flatMap((entry, index) =>
    entry.kind === 'triesFailed' && !struck.has(index + 1)
      ? failedTry(wardId, { number: index + 1, animal: animalOf(index + 1) }, entry, (instant) =>
          wallIso(instant, zone),
        )
      : [],
  );
}

function failedTry(
  wardId: string,
  { number, animal }: { number: number; animal: string },
  { at: happened, told, by, via, body }: Extract<WardEntry, { kind: 'triesFailed' }>,
  at: (instant: number) => string,
): fhir4.FhirResource[] {
  const { operator, tries, why, gauge } = body;
  const id = (what: string) => uuidOf(wardId, 'tries', number, what);
  const subject = within(animalId(wardId, animal));
  const known = identifier('entry', `${wardId}#${number}`);
  return [
    {
      resourceType: 'Procedure',
      id: id('procedure'),
      identifier: [known],
      status: 'stopped',
      ...(why === undefined ? {} : { statusReason: inWords(why) }),
      code: inWords('Placing of an arterial line'),
      subject,
      performedDateTime: at(happened),
      performer: [{ function: inWords('Tried to place the catheter'), actor: person(operator) }],
      bodySite: [arteryOf(body)],
      ...(gauge === undefined ? {} : { usedCode: [inWords(`Arterial catheter, ${gauge} G`)] }),
    },
    {
      resourceType: 'Observation',
      id: id('count'),
      identifier: [known],
      status: 'final',
      code: inWords('Tries at this artery, none of which came to a line'),
      partOf: [within(id('procedure'))],
      subject,
      effectiveDateTime: at(happened),
      issued: at(told),
      valueInteger: tries,
    },
    {
      resourceType: 'Provenance',
      id: id('provenance'),
      target: [within(id('procedure')), within(id('count'))],
      occurredDateTime: at(happened),
      recorded: at(told),
      activity: inWords(`recorded by ${via}`),
      agent: [enterer(by)],
    },
  ];
}
