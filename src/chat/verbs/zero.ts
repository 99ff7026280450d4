import { levelErrorMmHg } from '../../domain/level/level-error.ts';
import type { EntryDraft } from '../../domain/record/entry.ts';
import { italic, rich } from '../../wording/rich-text.ts';
import { choiceIn, fieldProblems, numberIn } from './field-values.ts';
import type { Field, LineVerb } from './verb.ts';

/** What ten centimetres do, mmHg: said where the transducer is levelled. */
const tenCm = levelErrorMmHg(10).toFixed(1);

const why = italic('Why:');

/** The steps in the order they are done; common practice, no source, but for the height of ten centimetres. */
const fields: readonly Field[] = [
  {
    kind: 'choice',
    id: 'level',
    label: 'Levelled at the heart as well',
    initial: 'levelled',
    step: rich`*1. Level.* Put the transducer at the height of the heart: lying on its side, the middle of the breastbone; on its chest, the point of the shoulder. ${why} 10 cm too low reads ${tenCm} mmHg too high, 10 cm too high reads as much too low.`,
    options: [
      { value: 'levelled', label: 'Yes, zeroed and levelled', words: ['level', 'leveled', 'and levelled'] },
      {
        value: 'not levelled',
        label: 'No, zeroed only',
        words: ['not leveled', 'not level', 'zeroed only', 'only'],
      },
    ],
  },
  {
    kind: 'quantity',
    id: 'openToAir',
    label: 'Monitor showed open to air',
    unit: 'mmHg',
    min: -300,
    max: 300,
    after: ['open to air', 'showed', 'monitor showed', 'offset'],
    hint: 'Before zeroing; below 0 with a minus. Leave empty when nobody looked.',
    step: rich`*2. Tap closed to the patient, open to air, cap off.* ${why} the transducer must feel the room and nothing else, and no blood may run out of the artery.\n*3. Read the monitor.* It should show about 0 and a flat line. What it shows tells how far the readings before were off.`,
  },
  {
    kind: 'several',
    id: 'open',
    label: 'Open to the patient again',
    required: true,
    formOnly: true,
    step: rich`*4. Press zero on the monitor* and wait for 0. ${why} it takes the room for zero from now on.\n*5. Tap closed to air, new cap on, open to the patient.* ${why} a tap left open to air bleeds; one left closed shows nothing and clots. Look: the wave is back.`,
    options: [{ value: 'open', label: 'Tap open to the patient, cap on, wave back' }],
  },
];

/** Zeroing, done together with levelling unless said otherwise; what was seen open to air, in mmHg. */
export const zero: LineVerb = {
  verb: 'zero',
  does: 'records that the line was zeroed, and levelled at the heart unless you say not; its form walks the steps',
  example: '/artline zero Biscuit open to air 3 mmHg',
  bare: true,
  fields,
  drafts(values) {
    const problems = fieldProblems(fields, values);
    if (problems.length > 0) return { problems };
    const openToAirMmHg = numberIn(values, 'openToAir');
    const alone = choiceIn(values, 'level', ['not levelled']) !== undefined;
    const zeroed: EntryDraft = { kind: 'zeroed', body: openToAirMmHg === undefined ? {} : { openToAirMmHg } };
    return { drafts: alone ? [zeroed] : [{ kind: 'levelled', body: {} }, zeroed] };
  },
};
