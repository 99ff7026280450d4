import { isCapped } from '../../domain/level/transducer.ts';
import type { FlushSource } from '../../domain/record/entry.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { choiceIn, fieldProblems, numberIn } from './field-values.ts';
import { flushedFirstField } from './flushed-first-field.ts';
import { joinedAgain } from './join-transducer.ts';
import { sourceFields, sourceKinds } from './source.ts';
import type { Field, FieldProblem, LineVerb, Values } from './verb.ts';

const fields: readonly Field[] = [
  {
    kind: 'choice',
    id: 'what',
    label: 'What was done',
    required: true,
    options: [
      { value: 'joined', label: 'Line joined to a transducer', words: ['on', 'connected', 'join'] },
      {
        value: 'capped',
        label: 'Taken off, line capped',
        words: ['off', 'taken off', 'cap', 'samples only', 'disconnected'],
      },
    ],
  },
  flushedFirstField,
  {
    kind: 'choice',
    id: 'set',
    label: 'Joined: which set',
    options: [
      { value: 'same', label: 'The same as before', words: ['same set', 'again', 'its own'] },
      { value: 'new', label: 'A new set', words: ['new set', 'new transducer', 'with new set'] },
    ],
  },
  {
    kind: 'choice',
    id: 'mode',
    label: 'Joined: flushed from now on',
    hint: 'The same set, flushed as before: leave this and what follows empty.',
    options: [
      { value: 'manual', label: 'Manual, by hand', words: ['by hand'] },
      { value: 'continuous', label: 'Continuous' },
    ],
  },
  ...sourceFields,
];

type Outcome = ReturnType<LineVerb['drafts']>;

/** A line joined to a transducer, or taken off it and capped: then it gives samples and no pressures. */
export const transducer: LineVerb = {
  verb: 'transducer',
  does: 'records that the line was joined to a transducer, or taken off it and capped; capped, it owes no zero, level or test',
  example: '/artline transducer Biscuit capped, flushed first',
  bare: false,
  fields,
  drafts(values, line) {
    const problems = fieldProblems(fields, values);
    if (problems.length > 0) return { problems };
    if (values.what === 'capped') return cappedDrafts(values, line);
    if (values.flushed !== undefined)
      return {
        problems: [{ field: 'flushed', message: 'That’s only for a capped line. Leave it empty.' }],
      };
    return joinedDrafts(values, line);
  },
};

const ofJoining = ['set', 'mode', 'kind', 'volume', 'rate', 'pressure', 'heparin'] as const;

function cappedDrafts(values: Values, line: LineState): Outcome {
  const given = ofJoining.filter((id) => values[id] !== undefined);
  if (given.length > 0)
    return {
      problems: given.map((field) => ({
        field,
        message: 'A capped line is flushed by hand: nothing runs into it. Leave this empty, or say joined.',
      })),
    };
  if (isCapped(line))
    return {
      problems: [
        {
          field: 'what',
          message: `${line.patient.name} is capped already. When it’s flushed, record a flush.`,
        },
      ],
    };
  return { drafts: [{ kind: 'capped', body: { flushed: values.flushed === 'flushed' } }] };
}

function joinedDrafts(values: Values, line: LineState): Outcome {
  if (!isCapped(line))
    return {
      problems: [
        {
          field: 'what',
          message: `${line.patient.name} is on a transducer. Record a new set with “source”: changed with new set.`,
        },
      ],
    };
  const { setAside } = line;
  const isSame = values.set === 'same' || (values.set === undefined && values.mode === undefined);
  const again = isSame ? joinedAgain(line) : null;
  if (values.set === 'same' && !again)
    return {
      problems: [
        { field: 'set', message: `${line.patient.name} had no transducer before. Choose a new set.` },
      ],
    };
  if (values.set === undefined && setAside)
    return {
      problems: [
        {
          field: 'set',
          message: 'The same set as before, or a new one? Choose, or write “same set” or “new set”.',
        },
      ],
    };
  const mode = choiceIn(values, 'mode', ['manual', 'continuous']);
  const isFlushGiven = ofJoining.some((id) => id !== 'set' && values[id] !== undefined);
  if (again && !isFlushGiven) return { drafts: [again] };
  if (mode === undefined)
    return {
      problems: [
        {
          field: 'mode',
          message: 'Flushed by hand or continuously from now on? Choose, or write “by hand” or “continuous”.',
        },
      ],
    };
  const newSet = values.set !== 'same';
  if (mode === 'manual') return byHand(values, newSet);
  const source = continuousSource(values);
  if ('problems' in source) return source;
  return { drafts: [{ kind: 'transducerJoined', body: { newSet, flushMode: mode, source: source.source } }] };
}

function byHand(values: Values, newSet: boolean): Outcome {
  const given = (['volume', 'rate', 'pressure'] as const).filter((id) => values[id] !== undefined);
  if (given.length > 0)
    return {
      problems: given.map((field) => ({
        field,
        message: 'Flushing by hand takes no volume, rate or pressure. Leave it empty, or choose continuous.',
      })),
    };
  return { drafts: [{ kind: 'transducerJoined', body: { newSet, flushMode: 'manual' } }] };
}

/** A source that runs needs volume and rate, else nobody can say when it will be empty. */
function continuousSource(values: Values): { source: FlushSource } | { problems: FieldProblem[] } {
  const kind = choiceIn(values, 'kind', sourceKinds);
  const volumeMl = numberIn(values, 'volume');
  const rateMlPerH = numberIn(values, 'rate');
  const why = 'or nobody can be warned before it runs out';
  const problems: FieldProblem[] = [];
  if (kind === undefined)
    problems.push({ field: 'kind', message: 'Say what it flushes from: pressure bag or syringe.' });
  if (volumeMl === undefined || volumeMl === 0)
    problems.push({ field: 'volume', message: `Give the volume in it, 1 to 3000 mL, ${why}.` });
  if (rateMlPerH === undefined)
    problems.push({ field: 'rate', message: `Give the rate, 0.1 to 50 mL/h, ${why}.` });
  if (kind === undefined || problems.length > 0) return { problems };
  const pressureMmHg = numberIn(values, 'pressure');
  const heparinUPerMl = numberIn(values, 'heparin');
  return {
    source: {
      kind,
      ...(volumeMl === undefined ? {} : { volumeMl }),
      ...(rateMlPerH === undefined ? {} : { rateMlPerH }),
      ...(pressureMmHg === undefined ? {} : { pressureMmHg }),
      ...(heparinUPerMl === undefined ? {} : { heparinUPerMl }),
    },
  };
}
