import { fieldProblems, numberIn } from './field-values.ts';
import type { Field, LineVerb } from './verb.ts';

const fields: readonly Field[] = [
  {
    kind: 'quantity',
    id: 'volume',
    label: 'Volume flushed',
    unit: 'mL',
    min: 0.1,
    max: 20,
    hint: 'Left empty, it is the ward’s usual volume for this weight.',
  },
  {
    kind: 'quantity',
    id: 'heparin',
    label: 'Heparin in the syringe',
    unit: 'U/mL',
    min: 0,
    max: 100,
    after: ['heparin', 'hep'],
    hint: 'Recorded once, it counts for the flushes after it; 0 for plain saline.',
  },
];

/** A flush by hand; `volume` in mL where it was measured, `heparin` in U/mL where it was recorded. */
export const flush: LineVerb = {
  verb: 'flush',
  does: 'records a flush by hand; the next one is due after the ward’s interval',
  example: '/artline flush Biscuit 1 mL',
  bare: true,
  fields,
  drafts(values) {
    const problems = fieldProblems(fields, values);
    if (problems.length > 0) return { problems };
    const volumeMl = numberIn(values, 'volume');
    const heparinUPerMl = numberIn(values, 'heparin');
    const body = {
      ...(volumeMl === undefined ? {} : { volumeMl }),
      ...(heparinUPerMl === undefined ? {} : { heparinUPerMl }),
    };
    return { drafts: [{ kind: 'flushed', body }] };
  },
};
