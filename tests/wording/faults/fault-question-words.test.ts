import { describe, expect, it } from 'vitest';
import { faultPath } from '../../../src/domain/fault/fault-path.ts';
import { faultSigns } from '../../../src/domain/fault/fault-questions.ts';
import { questionWords, stepWords } from '../../../src/wording/faults/fault-question-words.ts';

/** Every question as it is asked of a line with its sign. */
const questions = faultSigns.flatMap((sign) =>
  faultPath(sign).map((question) => ({ ...question, sign, words: questionWords(sign, question.id) })),
);

describe('each question', () => {
  it('is asked in one or two short sentences, and each answer says where it leads', () => {
    for (const { answers, words } of questions) {
      expect(words.asks.length).toBeLessThanOrEqual(120);
      expect(words.asks).toMatch(/\?$/);
      expect(words.why).toMatch(/\.$/);
      expect(words.source).not.toBe('');
      expect(Object.keys(words.answers)).toEqual(answers.map(({ id }) => id));
      for (const { id, leads } of answers) {
        const [button = '', said = ''] = words.answers[id] ?? [];
        // As much as a button shows on a phone before it is cut; common practice, no source.
        expect(button.length).toBeLessThanOrEqual(42);
        expect(/\bcall\b/.test(button)).toBe(leads === 'clinician');
        expect(said).not.toBe('');
      }
    }
  });

  // Common practice, no source. A cat of 2.5 kg has 137.5 mL at 55 mL/kg (transfusion texts, from memory), of which 5 mL are 3.6 %.
  it('of a line that came apart has it drawn back before it is flushed, and new pieces put in', () => {
    expect(questionWords('none', 'joined').caution).toMatch(
      /Draw back before you flush, and put a new piece in/,
    );
  });
});

// Never against resistance, small volumes by hand in small patients: flush section of the reference page; the rest is
// common practice, no source.
describe('the cautions', () => {
  it('stand wherever a syringe touches the line', () => {
    const syringes = questions.filter(({ words }) => /syringe/.test(words.asks));
    expect(syringes.length).toBeGreaterThan(0);
    for (const {
      words: { caution = '' },
      answers,
    } of syringes) {
      for (const rule of [
        /draw back first/i,
        /never flush hard or against resistance/i,
        /no air/i,
        /no drugs/i,
        /cat/,
      ])
        expect(caution).toMatch(rule);
      expect(answers.find(({ id }) => id === 'resists')?.leads).toBe('clinician');
    }
  });

  it('tell nobody to flush before blood was drawn, and never to push air on', () => {
    const advice = questions.flatMap(({ words: { asks, answers } }) => [
      asks,
      ...Object.values(answers).map(([button]) => button),
    ]);
    for (const words of advice.filter((text) => /flush/i.test(text)))
      expect(words).toMatch(/flush source|Freely; flushed back slowly|flushed by hand/);
    for (const { words } of questions.filter(({ place }) => place === 'tubing'))
      expect(words.caution).toContain('never pushed on');
  });
});

describe('stepWords', () => {
  it.each([
    ['flat.kink', 'freed', 'flat: bent catheter straightened'],
    ['flat.kink.fixed', 'not yet', 'flat: not yet'],
    ['spiky.moves', 'still', 'spiky: limb and tubing lie still'],
    ['kinked?', 'no', 'kinked?: no'],
    ['flat.kink', 'perhaps', 'flat.kink: perhaps'],
    ['none.lost', '5 mL', 'none: line had come apart, about 5 mL of blood lost'],
  ])('says of %s with %s %j', (step, answer, words) => {
    expect(stepWords({ step, answer })).toBe(words);
  });
});
