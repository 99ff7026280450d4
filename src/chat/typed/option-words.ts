import type { Field, Option } from '../verbs/verb.ts';
import { foldPhrase, phraseAt } from './fold-words.ts';

/** A field that offers options. */
export type OfferingField = Field & { kind: 'choice' | 'several' };

/** One way of naming one option of one field. */
interface Spelling {
  field: OfferingField;
  option: Option;
  phrase: readonly string[];
}

/** An option named in the words. */
export interface OptionNamed {
  field: OfferingField;
  option: Option;
  used: number;
}

/** Every spelling of every option, longest first: `no pulse` is met before `pulse`. */
export function spellingsOf(fields: readonly Field[]): readonly Spelling[] {
  return fields
    .filter((field): field is OfferingField => field.kind === 'choice' || field.kind === 'several')
    .flatMap((field) =>
      field.options.flatMap((option) =>
        [option.value, option.label, ...(option.words ?? [])].map((text) => ({
          field,
          option,
          phrase: foldPhrase(text),
        })),
      ),
    )
    .sort((one, other) => other.phrase.length - one.phrase.length);
}

/** All options that the longest spelling at `start` can mean, in the order of the fields; empty when none begins there. */
export function optionsAt(
  spellings: readonly Spelling[],
  folded: readonly string[],
  start: number,
): OptionNamed[] {
  let longest = 0;
  const named: OptionNamed[] = [];
  for (const { field, option, phrase } of spellings) {
    if (phrase.length < longest) break;
    const used = phraseAt(folded, start, phrase);
    if (used === 0 || named.some((one) => one.field === field && one.option === option)) continue;
    longest = used;
    named.push({ field, option, used });
  }
  return named;
}
