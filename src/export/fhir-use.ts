import type { EffectiveEntry } from '../domain/record/effective-entries.ts';
import type { LineState } from '../domain/record/line-state.ts';
import type { AboutLine } from './fhir-line.ts';
import { fhirText, inWords, person, safety } from './fhir-values.ts';
import { dutyWords, findingWords } from './fhir-words.ts';

/**
 * How long the catheter lay, where and why, with the notes that were recorded of the line; and the numbers of the entries that
 * hold it. A duty that could not be done, or that a clinician let go, is such a note.
 */
export function useOfCatheter(
  line: AboutLine,
  state: LineState,
  effective: readonly EffectiveEntry[],
  known: fhir4.Identifier,
): { statement: fhir4.DeviceUseStatement; numbers: ReadonlySet<number> } {
  const { placed, removed, indication } = state;
  const reason = fhirText(indication ?? '');
  const notes = effective.flatMap((one) => {
    const text = noteOf(line, one);
    return text === null ? [] : [{ ...one, text }];
  });
  return {
    numbers: new Set([
      ...effective.flatMap(({ number, entry }) =>
        entry.kind === 'placed' || entry.kind === 'removed' ? [number] : [],
      ),
      ...notes.map(({ number }) => number),
    ]),
    statement: {
      resourceType: 'DeviceUseStatement',
      id: line.id('use'),
      identifier: [known],
      status: removed ? 'completed' : 'active',
      subject: line.subject,
      timingPeriod: { start: line.at(placed.at), ...(removed ? { end: line.at(removed.at) } : {}) },
      device: line.device,
      ...(reason === null ? {} : { reasonCode: [{ text: reason }] }),
      bodySite: line.bodySite,
      ...(notes.length === 0
        ? {}
        : {
            note: notes.map(({ entry, text }) => ({
              authorReference: person(entry.by),
              time: line.at(entry.at),
              text,
            })),
          }),
    },
  };
}

function noteOf(line: AboutLine, { entry }: EffectiveEntry): string | null {
  if (entry.kind === 'noted') {
    const { text, cannot } = entry.body;
    const said = fhirText(text);
    return cannot ? `Could not be done: ${dutyWords[cannot[0]]}. ${because(said)}` : said;
  }
  if (entry.kind === 'waived') {
    const { duty, until, reason } = entry.body;
    return `Let go by a clinician until ${line.at(until)}: ${dutyWords[duty]}. ${because(fhirText(reason))}`;
  }
  return null;
}

function because(reason: string | null): string {
  return reason === null ? 'No reason recorded.' : `Reason: ${reason}`;
}

/** What was found and not found gone since, for whoever cares for the animal next. */
export function openFindingFlags(line: AboutLine, { finding, tipMissing }: LineState): fhir4.Flag[] {
  const flag = (name: string, text: string, { at, by }: { at: number; by: string }): fhir4.Flag => ({
    resourceType: 'Flag',
    id: line.id(name),
    status: 'active',
    category: [safety],
    code: inWords(text),
    subject: line.subject,
    period: { start: line.at(at) },
    author: person(by),
  });
  return [
    ...(finding ? [flag('finding', findingText(finding), finding)] : []),
    ...(tipMissing ? [flag('tip', 'Catheter came out not whole, the piece was not found', tipMissing)] : []),
  ];
}

function findingText({ site, limb }: NonNullable<LineState['finding']>): string {
  const seen = findingWords(site);
  return [
    ...(seen === 'nothing amiss' ? [] : [`At or below the site of the line: ${seen}`]),
    ...(limb ? [`Pulse below the site of the line: ${limb.pulse}${limb.cold ? ', cold' : ''}`] : []),
  ].join('. ');
}
