import { isCapped } from '../../domain/level/transducer.ts';
import type { DraftOf, EntryDraft } from '../../domain/record/entry.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { awayPlaces } from '../../domain/record/spells.ts';
import { choiceIn, fieldProblems, numberIn } from './field-values.ts';
import { flushedFirstField } from './flushed-first-field.ts';
import { joinedAgain } from './join-transducer.ts';
import type { Field, FieldProblem, LineVerb, Values } from './verb.ts';

const inTheCage = ['moved', 'repositioned', 'disconnected'] as const;
const fields: readonly Field[] = [
  {
    kind: 'choice',
    id: 'how',
    label: 'What happened',
    initial: 'moved',
    options: [
      { value: 'moved', label: 'Line or transducer was moved', words: ['transducer', 'transducer moved'] },
      {
        value: 'repositioned',
        label: 'Patient was turned or lifted',
        words: ['turned', 'lifted', 'patient turned'],
      },
      { value: 'disconnected', label: 'Line was disconnected', words: ['disconnect', 'opened'] },
      {
        value: 'theatre',
        label: 'Patient leaves for theatre',
        words: [
          'to theatre',
          'to the theatre',
          'surgery',
          'to surgery',
          'left for theatre',
          'for theatre',
          'gone to theatre',
        ],
      },
      {
        value: 'imaging',
        label: 'Patient leaves for imaging',
        words: [
          ...['ct', 'mri', 'x-ray', 'xray', 'radiology', 'ultrasound', 'imaging'].flatMap((place) => [
            place,
            `to ${place}`,
          ]),
          'left for imaging',
          'for imaging',
          'gone to imaging',
        ],
      },
      {
        value: 'elsewhere',
        label: 'Patient leaves the ward for elsewhere',
        words: ['to elsewhere', 'left', 'leaves', 'left the ward', 'leaves the ward', 'off the ward', 'away'],
      },
      { value: 'arrived', label: 'Patient arrived there', words: ['there', 'arrived in theatre'] },
      {
        value: 'back',
        label: 'Patient is back on the ward',
        words: [
          'returned',
          'back on the ward',
          'back on ward',
          'back from theatre',
          'back from imaging',
          'is back',
        ],
      },
    ],
  },
  {
    kind: 'person',
    id: 'with',
    label: 'Off the ward: who has the patient now',
    hint: 'They’re asked for what stays due until it’s back. Leave empty for the ward’s nurse. Back: who took it over, if that’s somebody else.',
  },
  {
    kind: 'choice',
    id: 'transducer',
    label: 'Transducer, when it leaves or is back',
    options: [
      { value: 'stays on', label: 'Stays on the line', words: ['transducer stays on', 'on transducer'] },
      {
        value: 'capped',
        label: 'Taken off, line capped',
        words: ['taken off', 'transducer off', 'off transducer', 'off the transducer', 'capped off'],
      },
      {
        value: 'joined',
        label: 'The same one on again',
        words: [
          'joined again',
          'rejoined',
          'transducer on again',
          'back on transducer',
          'back on its transducer',
        ],
      },
    ],
  },
  flushedFirstField,
  {
    kind: 'quantity',
    id: 'lost',
    label: 'Blood lost, if it came apart',
    unit: 'mL',
    min: 0,
    max: 5000,
    after: ['blood lost', 'lost', 'bled'],
    hint: 'As near as you can guess: bedding, swabs, floor. It counts with the samples.',
  },
];

/** A move in the cage, after which zero and level are due at once; or the patient leaving the ward, arriving, and back. */
export const moved: LineVerb = {
  verb: 'moved',
  does: 'records that line, transducer or patient was moved, or that the line came apart and what it bled; or that the patient leaves the ward and with whom, and that it is back',
  example: '/artline moved Biscuit disconnected',
  bare: true,
  fields,
  drafts(values, line) {
    const problems = [...fieldProblems(fields, values), ...slips(values)];
    if (problems.length > 0) return { problems };
    const how = String(values.how ?? 'moved');
    const body = typeof values.with === 'string' ? { with: values.with } : {};
    const to = awayPlaces.find((place) => place === how);
    if (to !== undefined)
      return { drafts: [...cappedDraft(values, line), { kind: 'leftWard', body: { to, ...body } }] };
    if (how !== 'arrived' && how !== 'back')
      return { drafts: [{ kind: 'disturbed', body: inTheCageBody(values) }] };
    const step: EntryDraft = how === 'back' ? { kind: 'returned', body } : { kind: 'arrived', body };
    if (values.transducer !== 'joined') return { drafts: [step, ...cappedDraft(values, line)] };
    const joined = joinedAgain(line);
    if (joined) return { drafts: [step, joined] };
    const message = isCapped(line)
      ? `${line.patient.name} had no transducer before. Record the move without it, then “transducer” joins one.`
      : `${line.patient.name} isn’t recorded as off its transducer. Leave this empty.`;
    return { problems: [{ field: 'transducer', message }] };
  },
};

function inTheCageBody(values: Values): DraftOf<'disturbed'>['body'] {
  const bloodLostMl = numberIn(values, 'lost');
  const how = choiceIn(values, 'how', inTheCage) ?? 'moved';
  return { how, ...(bloodLostMl === undefined ? {} : { bloodLostMl }) };
}

function cappedDraft({ transducer, flushed }: Values, line: LineState): EntryDraft[] {
  if (transducer !== 'capped' || isCapped(line)) return [];
  return [{ kind: 'capped', body: { flushed: flushed === 'flushed' } }];
}

/** What does not go together: each belongs to one step of a move. */
function slips({ how, with: person, transducer, flushed, lost }: Values): FieldProblem[] {
  const isInCage = how === undefined || inTheCage.some((one) => one === how);
  const problems: FieldProblem[] = [];
  if (lost !== undefined && how !== 'disconnected')
    problems.push({
      field: 'lost',
      message: 'Blood is lost by a line that came apart: choose “Line was disconnected”, or leave it empty.',
    });
  if (isInCage && person !== undefined)
    problems.push({
      field: 'with',
      message: 'Say where the patient goes as well, for example to theatre, or back.',
    });
  if (isInCage && transducer !== undefined)
    problems.push({
      field: 'transducer',
      message:
        'Say where the patient goes as well, for example to theatre. On the ward, “transducer” records it alone.',
    });
  if (transducer === 'joined' && how !== 'arrived' && how !== 'back' && !isInCage)
    problems.push({
      field: 'transducer',
      message: 'A transducer is joined again on arrival, or back on the ward.',
    });
  if (flushed !== undefined && transducer !== 'capped')
    problems.push({
      field: 'flushed',
      message: '“Flushed first” is only for a line that’s capped. Leave it empty, or say capped.',
    });
  return problems;
}
