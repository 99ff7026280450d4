import type { FaultSign } from '../domain/fault/fault-questions.ts';
import { questionOf, signOfStep } from '../domain/fault/next-question.ts';
import type { EffectiveEntry } from '../domain/record/effective-entries.ts';
import type { EntryOf } from '../domain/record/entry.ts';
import { answerSaid, questionWords } from '../wording/faults/fault-question-words.ts';
import type { AboutLine } from './fhir-line.ts';
import { inWords } from './fhir-values.ts';

/** One fault from its opening to its close, with the entries it is made of, the opening first. */
interface FaultEntries {
  sign: FaultSign;
  opened: EffectiveEntry;
  steps: EntryOf<'faultStep'>[];
  closed: EntryOf<'faultClosed'> | null;
  entries: EffectiveEntry[];
}

/** A fault as an observation, and the numbers of the entries it is made of. */
export interface FaultResource {
  observation: fhir4.Observation;
  numbers: ReadonlySet<number>;
}

/**
 * Every fault of a line as one observation from when it was seen until it was closed: what the trace looked like, each
 * question of its path with the answer, and how it ended. One that is still open is preliminary.
 */
export function faultObservations(line: AboutLine, effective: readonly EffectiveEntry[]): FaultResource[] {
  return faultsOf(effective).map(({ sign, opened, steps, closed, entries }) => {
    const { effectiveDateTime: start, ...rest } = line.observation(
      opened,
      'Fault of the pressure trace',
      'exam',
    );
    const isAmended = entries.some(({ amended }) => amended);
    return {
      numbers: new Set(entries.map(({ number }) => number)),
      observation: {
        ...rest,
        status: isAmended ? 'amended' : closed ? 'final' : 'preliminary',
        effectivePeriod: { ...(start ? { start } : {}), ...(closed ? { end: line.at(closed.at) } : {}) },
        issued: line.at(Math.max(...entries.map(({ entry }) => entry.told))),
        valueCodeableConcept: inWords(sign === 'none' ? 'no trace' : sign),
        ...components([
          ...steps.map(({ body }) => stepPart(body)),
          ...(closed ? [outcomePart(closed.body)] : []),
        ]),
      },
    };
  });
}

/** Opened, gone through and closed as the fold of a line takes them: a step goes to the open fault of its sign. */
function faultsOf(effective: readonly EffectiveEntry[]): FaultEntries[] {
  const faults: FaultEntries[] = [];
  for (const one of effective) {
    const { entry } = one;
    if (entry.kind === 'faultOpened') {
      const { sign } = entry.body;
      faults.push({ sign, opened: one, steps: [], closed: null, entries: [one] });
    } else if (entry.kind === 'faultStep') {
      const sign = signOfStep(entry.body.step);
      const open = faults.findLast((fault) => fault.closed === null && fault.sign === sign);
      open?.steps.push(entry);
      open?.entries.push(one);
    } else if (entry.kind === 'faultClosed') {
      const { sign } = entry.body;
      for (const fault of faults) {
        if (fault.closed !== null || (sign ?? fault.sign) !== fault.sign) continue;
        fault.closed = entry;
        fault.entries.push(one);
      }
    }
  }
  return faults;
}

function stepPart(step: EntryOf<'faultStep'>['body']): fhir4.ObservationComponent {
  const of = questionOf(step);
  const said = inWords(step.answer);
  if (!of) return { code: inWords(step.step), valueCodeableConcept: said };
  const { asks } = questionWords(of.sign, of.question.id);
  if (of.isFixed) return { code: inWords(`${asks} Solved by that?`), valueCodeableConcept: said };
  const answer = { question: of.question.id, id: step.answer };
  return { code: inWords(asks), valueCodeableConcept: inWords(answerSaid(of.sign, answer)) };
}

function outcomePart({ resolved }: EntryOf<'faultClosed'>['body']): fhir4.ObservationComponent {
  return { code: inWords('Outcome'), valueCodeableConcept: inWords(resolved ? 'resolved' : 'not resolved') };
}

function components(parts: fhir4.ObservationComponent[]): Pick<fhir4.Observation, 'component'> {
  return parts.length === 0 ? {} : { component: parts };
}
