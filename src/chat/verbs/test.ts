import type { SwingDefinition } from '../../domain/dynamic-response/damping-coefficient.ts';
import {
  measuredTest,
  type StripReading,
  type StripRefusal,
} from '../../domain/dynamic-response/measured-test.ts';
import { responseLimits } from '../../domain/policy/test-regions.ts';
import { type EntryOf, testVerdicts } from '../../domain/record/entry.ts';
import { pressuresShown } from '../../domain/trust/line-response.ts';
import { verdictOfTest } from '../../domain/trust/verdict-of-test.ts';
import { choiceIn, fieldProblems, numberIn, quantityText } from './field-values.ts';
import { rateWords } from './rate-words.ts';
import type { Field, FieldProblem, LineVerb, Values } from './verb.ts';

const cycleCounts = ['one cycle', 'two cycles', 'three cycles', 'four cycles', 'five cycles'] as const;

const mm = { kind: 'quantity', unit: 'mm', min: 0.01, max: 500 } as const;

const fields: readonly Field[] = [
  {
    kind: 'choice',
    id: 'verdict',
    label: 'Trace after the fast flush',
    hint: 'With the strip measured this may stay empty: the numbers decide.',
    options: [
      { value: 'normal', label: 'Normal', words: ['ok', 'good', 'fine'] },
      {
        value: 'underdamped',
        label: 'Underdamped: rings too long',
        words: ['under', 'ringing', 'rings', 'rings too long'],
      },
      {
        value: 'overdamped',
        label: 'Overdamped: slurred, slow',
        words: ['over', 'slurred', 'slow'],
      },
      {
        value: 'cannot tell',
        label: 'Cannot tell',
        words: ['can not tell', "can't tell", 'unclear', 'unsure'],
      },
    ],
  },
  {
    kind: 'quantity',
    id: 'rate',
    label: 'Heart rate',
    unit: '/min',
    min: 20,
    max: 400,
    after: rateWords,
    hint: 'Of this patient now: a fast heart asks more of the line.',
  },
  {
    kind: 'quantity',
    id: 'paper',
    label: 'Strip speed',
    unit: 'mm/s',
    min: 5,
    max: 200,
    hint: '25 or 50 on most recorders.',
  },
  {
    ...mm,
    id: 'cycle',
    label: 'Length of the cycles',
    after: ['cycle', 'cycles', 'period'],
    hint: 'From one top of the ringing to the next top. Leave empty where nothing rings. A small square is 1 mm, a large one 5 mm.',
  },
  {
    kind: 'choice',
    id: 'cycles',
    label: 'Cycles in that length',
    initial: 'one cycle',
    hint: 'Several measured at once make the error smaller.',
    options: cycleCounts.map((count, index) => ({
      value: count,
      label: index === 0 ? '1 cycle' : `${index + 1} cycles`,
    })),
  },
  {
    kind: 'choice',
    id: 'heights',
    label: 'Which two heights',
    initial: 'half cycle',
    hint: 'They give different damping from the same trace, so it must be known which.',
    options: [
      {
        value: 'half cycle',
        label: 'Swings: down from a top to the bottom, then up to the next top',
        words: ['swings', 'half cycles'],
      },
      {
        value: 'full cycle',
        label: 'Tops: two tops in a row, each above the settled line',
        words: ['tops', 'peaks', 'full cycles'],
      },
    ],
  },
  {
    ...mm,
    id: 'first',
    label: 'First height',
    after: ['first', 'first height', 'first swing'],
    hint: 'The first swing after the flush is let go (or the first top above the settled line).',
  },
  {
    ...mm,
    id: 'next',
    label: 'Next height',
    after: ['next', 'second', 'then', 'next height'],
    hint: 'Leave empty where no second one is to be seen.',
  },
  {
    kind: 'choice',
    id: 'readTo',
    label: 'Read to',
    initial: 'small squares',
    options: [
      { value: 'small squares', label: 'Half a small square (0.5 mm)' },
      { value: 'large squares', label: 'Half a large square (2.5 mm)' },
    ],
  },
];

type Body = EntryOf<'fastFlushTested'>['body'];

/** The fast-flush test and what was seen, or what was measured on its strip. */
export const test: LineVerb = {
  verb: 'test',
  does: 'records the fast-flush test; measured on a strip it works out damping, natural frequency and what they do to this patient’s pressures',
  example: '/artline test Biscuit normal',
  bare: false,
  fields,
  measured: {
    button: 'Measure the strip…',
    title: 'Test by strip',
    only: ['paper', 'cycle', 'cycles', 'heights', 'first', 'next', 'readTo'],
    before:
      'Fast flush for 1 s, let go, and print what follows. Measure the ringing after the square: the first whole swings, before the next beat. Half a square of reading error is allowed for.',
  },
  drafts(values, line, policy) {
    const problems: FieldProblem[] = fieldProblems(fields, values);
    const strip = stripIn(values, problems);
    const given = choiceIn(values, 'verdict', testVerdicts);
    const heartRatePerMin = numberIn(values, 'rate');
    const rate = heartRatePerMin === undefined ? {} : { heartRatePerMin };
    if (problems.length > 0) return { problems };
    if (strip === null && given === undefined) {
      return {
        problems: [
          {
            field: 'verdict',
            message:
              'Trace after the fast flush is needed: normal, underdamped, overdamped or cannot tell. Or measure the strip: 25 mm/s cycle 1.7 mm swings first 24 mm next 17 mm 180 /min.',
          },
        ],
      };
    }
    if (strip === null) {
      return { drafts: [{ kind: 'fastFlushTested', body: { verdict: given ?? 'cannot tell', ...rate } }] };
    }
    const measured = measuredTest(strip);
    if (measured.result === 'refused') return { problems: [refused(measured.refusal)] };
    // By the numbers that its answer and the card go by: the rate recorded last, the pulse read last.
    const perMin = heartRatePerMin ?? line.reading?.heartRatePerMin ?? null;
    const { regions, errorMmHg } = responseLimits(policy);
    const pulse = { shown: pressuresShown(line), errorMmHg };
    const body: Body = {
      verdict: decided(given, verdictOfTest(measured, perMin, regions, pulse)),
      strip,
      ...rate,
    };
    return { drafts: [{ kind: 'fastFlushTested', body }] };
  },
};

/** The numbers decide where they can; what was seen stands where they cannot. */
function decided(given: Body['verdict'] | undefined, measured: Body['verdict']): Body['verdict'] {
  return measured === 'cannot tell' ? (given ?? measured) : measured;
}

/** What was read off the strip; null where nothing of it was recorded. Adds what is missing to `problems`. */
function stripIn(values: Values, problems: FieldProblem[]): StripReading | null {
  const paperMmPerS = numberIn(values, 'paper');
  const cycle = numberIn(values, 'cycle');
  const first = numberIn(values, 'first');
  const next = numberIn(values, 'next');
  if (cycle === undefined && first === undefined && next === undefined) return null;
  if (next !== undefined && first === undefined) {
    problems.push({ field: 'first', message: 'The next height needs the first one beside it, in mm.' });
  }
  if (next !== undefined && values.heights === undefined) {
    problems.push({
      field: 'heights',
      message:
        'Swings or tops? They give different damping. Write “swings” for down from a top, then up to the next; “tops” for two tops in a row above the settled line.',
    });
  }
  if (cycle !== undefined && paperMmPerS === undefined) {
    problems.push({
      field: 'paper',
      message: 'Strip speed is needed with a cycle’s length: 25 mm/s or 50 mm/s.',
    });
  }
  if (cycle !== undefined && first === undefined) {
    problems.push({
      field: 'first',
      message:
        'The first height is needed beside a cycle’s length, or nobody can say how the line is damped. Give it in mm; leave the next one out where there is none.',
    });
  }
  const squareMm = choiceIn(values, 'readTo', ['large squares']) === undefined ? 1 : 5;
  const definition: SwingDefinition = choiceIn(values, 'heights', ['full cycle']) ?? 'half cycle';
  const squares = (lengthMm: number) => lengthMm / squareMm;
  return {
    paperMmPerS: paperMmPerS ?? 25,
    squareMm,
    cycleLength: cycle === undefined ? null : squares(cycle),
    cycles: 1 + Math.max(0, cycleCounts.indexOf(choiceIn(values, 'cycles', cycleCounts) ?? 'one cycle')),
    definition,
    heights:
      first === undefined ? null : { first: squares(first), next: next === undefined ? null : squares(next) },
  };
}

function refused(refusal: StripRefusal): FieldProblem {
  switch (refusal.because) {
    case 'does not die down':
      return {
        field: 'next',
        message:
          'The next height is not below the first, and ringing dies down: they were swapped, or belong to two flushes. Measure two in a row again.',
      };
    case 'rings implausibly':
      return {
        field: 'cycle',
        message: `That would ring at ${quantityText(Number(refusal.ringingHz.toPrecision(3)), 'mm').replace(' mm', ' Hz')}; a line rings at ${refusal.lowestHz} to ${refusal.highestHz} Hz. Check the strip speed, the number of cycles, and whether squares were given as mm.`,
      };
    case 'out of range': {
      const { what, value, from, to, unit } = refusal;
      const field = {
        'paper speed': 'paper',
        'cycle length': 'cycle',
        cycles: 'cycles',
        'first height': 'first',
        'next height': 'next',
      }[what];
      return { field, message: `${what}: ${value} ${unit} cannot be right. Give ${from} to ${to} ${unit}.` };
    }
  }
}
