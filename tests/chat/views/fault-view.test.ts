import { describe, expect, it } from 'vitest';
import { faultChoiceView, faultEndView, faultQuestionView } from '../../../src/chat/views/fault-view.ts';
import { faultPath } from '../../../src/domain/fault/fault-path.ts';
import { type FaultSign, faultSigns } from '../../../src/domain/fault/fault-questions.ts';
import { nextQuestion } from '../../../src/domain/fault/next-question.ts';
import type { Fault } from '../../../src/domain/record/line-state.ts';
import { drawnView } from '../../../src/slack/render/view.ts';
import { answerSaid, questionWords } from '../../../src/wording/faults/fault-question-words.ts';
import { clock, LineLog, wall } from '../../support/line-builder.ts';
import { hostileNames, refusalOf } from '../forms/filled-form.ts';

const wardId = 'T0PRACTICE.C0WARDEAST';
const longest = hostileNames.toSorted((a, b) => b.length - a.length)[0] ?? '';
const line = new LineLog('20:00', { patient: { name: longest } }).state();
const given = { wardId, line, clock, remark: 'Not recorded: that question was answered meanwhile.' };

/** The fault with every question before the `number`th answered, from 1, each with the longest that leads on. */
function faultAt(sign: FaultSign, number: number, last?: string): Fault {
  const steps = faultPath(sign)
    .slice(0, number - 1)
    .flatMap(({ id, answers }) => {
      const on = answers
        .filter(({ leads }) => leads !== 'clinician')
        .toSorted(
          (a, b) =>
            answerSaid(sign, { question: id, id: b.id }).length -
            answerSaid(sign, { question: id, id: a.id }).length,
        )[0];
      const step = { step: `${sign}.${id}`, answer: on?.id ?? '' };
      return on?.leads === 'fixed' ? [step, { step: `${step.step}.fixed`, answer: 'not yet' }] : [step];
    });
  const question = faultPath(sign)[number - 1];
  const more = last && question ? [{ step: `${sign}.${question.id}`, answer: last }] : [];
  return {
    sign,
    at: wall('22:00'),
    by: 'nina',
    entry: 2,
    closedAt: null,
    resolved: false,
    steps: [...steps, ...more],
    latest: { told: wall('22:00'), entry: 2 },
  };
}

describe('the pages of a fault', () => {
  it.each(faultSigns)(
    'of a trace that is %s are ones the platform shows, at every step of the path',
    (sign) => {
      for (const [index, question] of faultPath(sign).entries()) {
        const asked = nextQuestion(sign, faultAt(sign, index + 1).steps);
        if (asked.is !== 'ask') throw new Error(`nothing asked at ${question.id}`);
        const words = questionWords(sign, question.id);
        const view = faultQuestionView(given, faultAt(sign, index + 1), asked);
        expect(refusalOf(view)).toBeNull();
        const shown = JSON.stringify(drawnView(view));
        expect(shown).toContain(`Step ${index + 1} of ${asked.of}: ${question.place}`);
        expect(shown).toContain(JSON.stringify(words.asks).slice(1, -1));
        for (const [button] of Object.values(words.answers)) expect(shown).toContain(button);
        expect(shown).toContain(words.caution ?? words.why);
        const fixed = question.answers.find(({ leads }) => leads === 'fixed');
        if (!fixed) continue;
        const righted = faultAt(sign, index + 1, fixed.id);
        const after = nextQuestion(sign, righted.steps);
        if (after.is !== 'ask') throw new Error(`not asked whether ${fixed.id} solved it`);
        const isSolved = faultQuestionView(given, righted, after);
        expect(refusalOf(isSolved)).toBeNull();
        expect(JSON.stringify(drawnView(isSolved))).toContain('Is it as it should be now?');
      }
    },
  );

  it('show no word that was cut short', () => {
    for (const sign of faultSigns)
      for (const [index] of faultPath(sign).entries()) {
        const fault = faultAt(sign, index + 1);
        const asked = nextQuestion(sign, fault.steps);
        if (asked.is !== 'ask') continue;
        const shown = JSON.stringify(drawnView(faultQuestionView(given, fault, asked))).replace(
          'Another sign…',
          '',
        );
        expect(shown).not.toContain('…');
      }
  });

  it('let the sign be chosen, and how it ended be read', () => {
    expect(refusalOf(faultChoiceView(given))).toBeNull();
    for (const resolved of [true, false]) {
      const path = faultPath('none').length;
      const fault = { ...faultAt('none', path), closedAt: wall('22:30'), resolved };
      const view = faultEndView(given, fault, 'Dr Ada Holm, on call, is told.', true);
      expect(refusalOf(view)).toBeNull();
      expect(JSON.stringify(drawnView(view))).toContain(
        resolved ? '*Resolved 22:30.*' : '*Not resolved 22:30.*',
      );
    }
  });
});
