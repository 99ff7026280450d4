import type { EntryDraft, FlushSource } from '../../domain/record/entry.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { choiceIn, fieldProblems, numberIn } from './field-values.ts';
import type { Field, FieldProblem, LineVerb, Values } from './verb.ts';

const whats = ['checked', 'changed', 'changed with new set', 'to continuous', 'to manual'] as const;
export const sourceKinds = ['pressure bag', 'syringe'] as const;

/** What a flush source is recorded with; the same wherever one is. */
export const sourceFields: readonly Field[] = [
  {
    kind: 'choice',
    id: 'kind',
    label: 'Flushed from',
    options: [
      { value: 'pressure bag', label: 'Pressure bag', words: ['bag'] },
      { value: 'syringe', label: 'Syringe pump', words: ['pump', 'syringe driver', 'syringe'] },
    ],
  },
  {
    kind: 'quantity',
    id: 'volume',
    label: 'Volume left in it',
    unit: 'mL',
    min: 0,
    max: 3000,
    hint: 'Needed with continuous flushing: the run-out is counted from it.',
  },
  {
    kind: 'quantity',
    id: 'rate',
    label: 'Rate',
    unit: 'mL/h',
    min: 0.1,
    max: 50,
    hint: 'Needed with continuous flushing. Leave empty when it is as before.',
  },
  {
    kind: 'quantity',
    id: 'pressure',
    label: 'Bag pressure',
    unit: 'mmHg',
    min: 0,
    max: 400,
    after: ['pressure'],
  },
  {
    kind: 'quantity',
    id: 'heparin',
    label: 'Heparin in it',
    unit: 'U/mL',
    min: 0,
    max: 100,
    after: ['heparin', 'hep'],
    hint: 'Give 0 when there is none; leave it empty when nobody knows.',
  },
];

const fields: readonly Field[] = [
  {
    kind: 'choice',
    id: 'what',
    label: 'What was done',
    required: true,
    options: [
      { value: 'checked', label: 'Checked: pressure and volume seen', words: ['check', 'checked', 'ok'] },
      { value: 'changed', label: 'Changed: new bag or syringe', words: ['new', 'change', 'replaced'] },
      {
        value: 'changed with new set',
        label: 'Changed with transducer set and tubing',
        words: [
          'new set',
          'with new set',
          'with set',
          'set changed',
          'changed with set',
          'changed and new set',
        ],
      },
      { value: 'to continuous', label: 'From manual to continuous', words: ['continuous'] },
      { value: 'to manual', label: 'From continuous to manual', words: ['manual', 'by hand'] },
    ],
  },
  ...sourceFields,
];

type Outcome = ReturnType<LineVerb['drafts']>;

/** The flush source looked at or changed, and changes between flushing by hand and by source. */
export const source: LineVerb = {
  verb: 'source',
  does: 'records the flush source checked or changed, or a change between manual and continuous flushing',
  example: '/artline source Biscuit changed bag 500 mL 3 mL/h 300 mmHg',
  bare: false,
  fields,
  drafts(values, line) {
    const problems = fieldProblems(fields, values);
    if (problems.length > 0) return { problems };
    switch (choiceIn(values, 'what', whats) ?? 'checked') {
      case 'checked':
        return checkedDrafts(values, line);
      case 'changed':
        return changedDrafts(values, line, (source) => ({
          kind: 'sourceChanged',
          body: { source, newSet: false },
        }));
      case 'changed with new set':
        return changedDrafts(values, line, (source) => ({
          kind: 'sourceChanged',
          body: { source, newSet: true },
        }));
      case 'to continuous':
        return changedDrafts(
          values,
          line,
          (source) => ({ kind: 'flushModeChanged', body: { mode: 'continuous', source } }),
          true,
        );
      case 'to manual':
        return manualDrafts(values);
    }
  },
};

function checkedDrafts(values: Values, line: LineState): Outcome {
  const problems: FieldProblem[] = [];
  const kind = choiceIn(values, 'kind', sourceKinds);
  if (kind !== undefined && line.source !== null && kind !== line.source.kind) {
    problems.push({
      field: 'kind',
      message: `The line runs from a ${line.source.kind}. If it’s a ${kind} now, record it as changed.`,
    });
  }
  const rate = numberIn(values, 'rate');
  if (rate !== undefined && rate !== line.source?.rateMlPerH) {
    problems.push({
      field: 'rate',
      message: `A check does not set the rate to ${rate} mL/h. Record the source as changed, or leave the rate out.`,
    });
  }
  if (numberIn(values, 'heparin') !== undefined) {
    problems.push({
      field: 'heparin',
      message: 'A check does not set the heparin. Record the source as changed, or leave the heparin out.',
    });
  }
  if (problems.length > 0) return { problems };
  const pressureMmHg = numberIn(values, 'pressure');
  const volumeLeftMl = numberIn(values, 'volume');
  return {
    drafts: [
      {
        kind: 'sourceChecked',
        body: {
          ...(pressureMmHg === undefined ? {} : { pressureMmHg }),
          ...(volumeLeftMl === undefined ? {} : { volumeLeftMl }),
        },
      },
    ],
  };
}

/** A new source. Flushing continuously it needs volume and rate, else nobody can say when it will be empty. */
function changedDrafts(
  values: Values,
  line: LineState,
  draft: (source: FlushSource) => EntryDraft,
  toContinuous = false,
): Outcome {
  const kind = choiceIn(values, 'kind', sourceKinds) ?? line.source?.kind;
  const volumeMl = numberIn(values, 'volume');
  const rateMlPerH = numberIn(values, 'rate') ?? (toContinuous ? undefined : line.source?.rateMlPerH);
  const pressureMmHg = numberIn(values, 'pressure');
  const heparinUPerMl = numberIn(values, 'heparin');
  const problems: FieldProblem[] = [];
  if (kind === undefined)
    problems.push({ field: 'kind', message: 'Say what it flushes from: pressure bag or syringe.' });
  if (volumeMl === 0)
    problems.push({
      field: 'volume',
      message: 'A new source cannot hold 0 mL. Give what is in it, up to 3000 mL.',
    });
  if (toContinuous || line.flushMode === 'continuous') {
    const why = 'or nobody can be warned before it runs out';
    if (volumeMl === undefined)
      problems.push({ field: 'volume', message: `Give the volume in it, 1 to 3000 mL, ${why}.` });
    if (rateMlPerH === undefined)
      problems.push({ field: 'rate', message: `Give the rate, 0.1 to 50 mL/h, ${why}.` });
  }
  if (problems.length > 0 || kind === undefined) return { problems };
  const source: FlushSource = {
    kind,
    ...(volumeMl === undefined ? {} : { volumeMl }),
    ...(rateMlPerH === undefined ? {} : { rateMlPerH }),
    ...(pressureMmHg === undefined ? {} : { pressureMmHg }),
    ...(heparinUPerMl === undefined ? {} : { heparinUPerMl }),
  };
  return { drafts: [draft(source)] };
}

/** Flushing by hand has no source to record: values with it are a slip. */
function manualDrafts(values: Values): Outcome {
  const given = ['volume', 'rate', 'pressure', 'heparin'].filter((id) => numberIn(values, id) !== undefined);
  if (given.length > 0) {
    return {
      problems: given.map((field) => ({
        field,
        message: 'Flushing by hand takes no volume, rate or pressure. Leave it empty, or choose continuous.',
      })),
    };
  }
  return { drafts: [{ kind: 'flushModeChanged', body: { mode: 'manual' } }] };
}
