import type { Field, LineVerb, Values } from '../../../src/chat/verbs/verb.ts';

/** How a person could write one value: what the words are read back from. */
function wordsOfValue(field: Field, value: Values[string]): string {
  switch (field.kind) {
    case 'quantity':
      return [field.after?.[0] ?? '', String(value), field.unit].filter(Boolean).join(' ');
    case 'choice':
      return String(value);
    case 'person':
      return `<@${String(value)}>`;
    case 'several':
      return (value as readonly string[]).join(', ');
    case 'text':
      return `${field.id} ${String(value)}`;
  }
}

/** The words for a verb's values, in the order of its fields; free text comes last, since it takes all that follows. */
export function wordsOfValues(verb: LineVerb, values: Values): { words: string; text: string } {
  const parts = verb.fields.flatMap((field) => {
    const value = values[field.id];
    return value === undefined ? [] : [{ words: wordsOfValue(field, value), isText: field.kind === 'text' }];
  });
  const joined = (isText: boolean) =>
    parts
      .filter((part) => part.isText === isText)
      .map(({ words }) => words)
      .join(' ');
  return { words: joined(false), text: joined(true) };
}
