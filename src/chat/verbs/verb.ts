import type { WardPolicy } from '../../domain/policy/ward-policy.ts';
import type { EntryDraft } from '../../domain/record/entry.ts';
import type { LineState } from '../../domain/record/line-state.ts';

/** Units a person may write, as they are shown. */
export type Unit = 'mL' | 'mL/h' | 'cm' | 'mm' | 'mm/s' | 'mmHg' | 'kg' | '/min' | 'U/mL';

export interface Option {
  value: string;
  label: string;
  /** Words that mean it on the command line, besides value and label. */
  words?: readonly string[];
}

interface FieldHead {
  id: string;
  label: string;
  hint?: string;
  required?: boolean;
  /** Asked by the form alone: words after the command need not say it. */
  formOnly?: boolean;
  /** A form asks for it, with this sentence, unless the field `unless` is filled in. */
  asked?: { unless: string; message: string };
  /** What to do first and why, above the input in a form; rich text. */
  step?: string;
}

/** One thing a verb asks. The same list makes the form for the thumb and reads the words after the command. */
export type Field =
  | (FieldHead & {
      kind: 'quantity';
      unit: Unit;
      min: number;
      max: number;
      /** A word that must stand before the number where two fields share a unit, such as "discard 1 mL". */
      after?: readonly string[];
    })
  | (FieldHead & { kind: 'choice'; options: readonly Option[]; initial?: string })
  | (FieldHead & { kind: 'several'; options: readonly Option[] })
  | (FieldHead & {
      kind: 'text';
      maxLength: number;
      /** The cursor stands in it when its form opens. */
      focused?: boolean;
    })
  | (FieldHead & { kind: 'person' });

/** Everything a verb asks, as one form asks it: what is measured last, or left out. */
export function fieldsOf({ fields, measured }: LineVerb, withMeasured: boolean): readonly Field[] {
  const isMeasured = ({ id }: Field) => measured?.only.includes(id) === true;
  const ordinary = fields.filter((field) => !isMeasured(field));
  return withMeasured ? [...fields.filter(isMeasured), ...ordinary] : ordinary;
}

/** What was filled in, by field id: a number in the field's unit, a choice's value, several values, text or a user id. */
export type Values = Readonly<Record<string, number | string | readonly string[]>>;

/** What is wrong with one field and what to do instead. */
export interface FieldProblem {
  field: string;
  message: string;
}

/** A verb that records something of one line. */
export interface LineVerb {
  verb: string;
  /** One sentence for help: what recording it does. */
  does: string;
  /** A whole command as it could be typed of Biscuit; whoever types it as it stands does no harm. */
  example: string;
  /** Whether it makes sense with no field filled: `/artline flush Biscuit` is recorded at once. */
  bare: boolean;
  /** Whether it is for a line that is in (the default), one that is out, or either. */
  when?: 'in' | 'out' | 'both';
  fields: readonly Field[];
  /** Fields of a form for whoever measured; the ordinary form leaves them out and offers it. */
  measured?: { button: string; title: string; only: readonly string[]; before: string };
  /** The drafts the values amount to, in order, or what is wrong with them. */
  drafts(
    values: Values,
    line: LineState,
    policy: WardPolicy,
  ): { drafts: EntryDraft[] } | { problems: FieldProblem[] };
}
