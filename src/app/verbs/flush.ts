import { fieldProblems, numberIn } from './field-values.ts';
import type { Field, LineVerb } from './verb.ts';

const fields: readonly Field[] = [
  { kind: 'quantity', id: 'volume', label: 'Volume flushed', unit: 'mL', min: 0.1, max: 20 },
];

/** A flush by hand; `volume` in mL where it was measured. */
export const flush: LineVerb = {
  verb: 'flush',
  does: 'records a flush by hand; the next one is due after the ward’s interval',
  example: '/artline flush Biscuit 1 mL',
  bare: true,
  fields,
  tellings(values) {
    const problems = fieldProblems(fields, values);
    if (problems.length > 0) return { problems };
    const volumeMl = numberIn(values, 'volume');
    return { tellings: [{ kind: 'flushed', body: volumeMl === undefined ? {} : { volumeMl } }] };
  },
};
