import type { Asks, Question } from '../question.ts';

interface Asking {
  id: string;
  label: string;
  hint?: string | undefined;
  optional?: boolean;
}

/** What a question asks by its kind, beside its name and label. */
type Given<As extends Asks['as']> = Asking & Omit<Extract<Asks, { as: As }>, 'as'>;

function question({ id, label, hint, optional = false }: Asking, asks: Asks): Question {
  return {
    kind: 'question',
    id,
    label,
    ...(hint === undefined ? {} : { hint }),
    ...(optional ? { optional: true } : {}),
    asks,
  };
}

/**
 * A number in the unit its label names. With `min` and `max` the phone itself refuses, in its own words; without them
 * our sentence does, which names the value and says what to do.
 */
export function numberInput({ min, max, whole, initial, ...asking }: Given<'number'>): Question {
  return question(asking, {
    as: 'number',
    ...(min === undefined ? {} : { min }),
    ...(max === undefined ? {} : { max }),
    ...(whole === undefined ? {} : { whole }),
    initial,
  });
}

/** A number as forms write it: no exponent, at most three decimals. */
export function decimalText(value: number): string {
  return String(Number(value.toFixed(3)));
}

/** A line of text, or several where more than 120 characters are kept. */
export function textInput({
  maxLength,
  initial,
  placeholder,
  multiline,
  focused,
  ...asking
}: Given<'text'>): Question {
  return question(asking, {
    as: 'text',
    maxLength,
    multiline: multiline ?? maxLength > 120,
    initial,
    ...(placeholder === undefined ? {} : { placeholder }),
    ...(focused === undefined ? {} : { focused }),
  });
}

/** One of several: all in sight where they are few and short, a menu otherwise. */
export function choiceInput({ choices, initial, mostInSight, ...asking }: Given<'choice'>): Question {
  return question(asking, {
    as: 'choice',
    choices,
    initial,
    ...(mostInSight === undefined ? {} : { mostInSight }),
  });
}

/** Any number of several. */
export function severalInput({ choices, initial, ...asking }: Given<'several'>): Question {
  return question(asking, { as: 'several', choices, initial });
}

/** One person of the workspace. */
export function personInput({ initial, ...asking }: Given<'person'>): Question {
  return question(asking, { as: 'person', initial });
}

/** Several people of the workspace. */
export function peopleInput({ initial, most, ...asking }: Given<'people'>): Question {
  return question(asking, { as: 'people', initial, most });
}

/** A day and a clock time. */
export function instantInput({ initialMs, ...asking }: Given<'instant'>): Question {
  return question(asking, { as: 'instant', initialMs });
}
