import type { WardPolicy } from '../../domain/policy/ward-policy.ts';
import type { Entry } from '../../domain/record/entry.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import type { Field, FieldProblem, LineVerb, Values } from './verb.ts';

/** How the values of one entry are put right: its fields, what stands in them, and the body that other values amount to. */
export interface AmendWay {
  fields: readonly Field[];
  values: Values;
  bodyOf(
    values: Values,
    before: LineState,
    policy: WardPolicy,
  ): { body: Record<string, unknown> } | { problems: FieldProblem[] };
}

/** What stands in the fields, by their ids. */
export type Stood = Readonly<Record<string, Values[string] | undefined>>;

/** The way of a kind that a verb records: the verb's own fields `ids`, with what else it must be told, `fixed`. */
export function byVerb(
  verb: LineVerb,
  kind: Entry['kind'],
  stood: Stood,
  { fields = verb.fields, fixed = {} }: { fields?: readonly Field[]; fixed?: Values } = {},
): AmendWay {
  return {
    fields,
    values: known(stood),
    bodyOf(values, before, policy) {
      const read = verb.drafts({ ...fixed, ...values }, before, policy);
      if ('problems' in read) return read;
      const draft = read.drafts.find((one) => one.kind === kind);
      return draft ? { body: { ...draft.body } } : { problems: [unfit(fields)] };
    },
  };
}

function unfit([first]: readonly Field[]): FieldProblem {
  return {
    field: first?.id ?? 'strike',
    message: 'That would be another entry. Strike this one out below, and record the other.',
  };
}

/** The fields `ids` of a verb. */
export const only = ({ fields }: LineVerb, ...ids: readonly string[]): readonly Field[] =>
  fields.filter(({ id }) => ids.includes(id));

/** The choice `id` with those of its options that `fits`. */
export function offering(
  fields: readonly Field[],
  id: string,
  fits: (value: string) => boolean,
): readonly Field[] {
  return fields.map((field) =>
    field.id === id && field.kind === 'choice'
      ? { ...field, options: field.options.filter(({ value }) => fits(value)) }
      : field,
  );
}

/** A field without its hint, which speaks of recording it for the first time. */
export function plainHint(field: Field): Field {
  const { hint: _hint, ...plain } = field;
  return plain;
}

function known(stood: Stood): Values {
  return Object.fromEntries(
    Object.entries(stood).filter((entry): entry is [string, Values[string]] => entry[1] !== undefined),
  );
}
