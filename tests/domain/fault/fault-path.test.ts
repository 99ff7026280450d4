import { describe, expect, it } from 'vitest';
import { faultPath } from '../../../src/domain/fault/fault-path.ts';
import { type FaultSign, faultPlaces, faultSigns } from '../../../src/domain/fault/fault-questions.ts';
import {
  answersGiven,
  type FaultAsk,
  type FaultEnd,
  type FaultStep,
  nextQuestion,
} from '../../../src/domain/fault/next-question.ts';
import * as fc from '../../support/properties.ts';

/** One way through a path: everything asked on it, and how it ended. */
interface Walk {
  asks: FaultAsk[];
  steps: FaultStep[];
  end: FaultEnd;
}

/** Every way there is through the path of a sign. */
function walks(sign: FaultSign, steps: FaultStep[] = [], asks: FaultAsk[] = []): Walk[] {
  // A path that does not end would never let this come back.
  if (steps.length > 40) throw new Error(`the path of ${sign} does not end: ${JSON.stringify(steps)}`);
  const next = nextQuestion(sign, steps);
  if (next.is === 'end') return [{ asks, steps, end: next }];
  return next.answers.flatMap((answer) =>
    walks(sign, [...steps, { step: next.step, answer }], [...asks, next]),
  );
}

const rank = (place: (typeof faultPlaces)[number]) => faultPlaces.indexOf(place);

// The order patient, catheter, tap, tubing, source, transducer, monitor: common practice, no source.
describe.each(faultSigns)('the path of a line that is %s', (sign) => {
  const all = walks(sign);

  it('ends whichever way it is gone, and both ways there are', () => {
    expect(all.length).toBeGreaterThan(20);
    expect(new Set(all.map(({ end }) => end.resolved))).toEqual(new Set([true, false]));
    const longest = Math.max(...all.map(({ steps }) => steps.length));
    expect(longest).toBeLessThanOrEqual(2 * faultPath(sign).length);
  });

  it('keeps the trade’s order on every way, and begins with the patient', () => {
    for (const { asks } of all) {
      const ranks = asks.map(({ question }) => rank(question.place));
      expect(ranks[0]).toBe(0);
      expect(ranks).toEqual(ranks.toSorted((a, b) => a - b));
    }
  });

  it('looks at each place, and every question and answer is reached', () => {
    const path = faultPath(sign);
    // A line that is blocked may have no transducer, and nothing beyond its catheter.
    const there = sign === 'blocked' ? faultPlaces.slice(0, 2) : faultPlaces;
    expect([...new Set(path.map(({ place }) => place))]).toEqual([...there]);
    expect(new Set(path.map(({ id }) => id)).size).toBe(path.length);
    const reached = new Set(all.flatMap(({ steps }) => steps.map(({ step, answer }) => `${step}=${answer}`)));
    const ways = path.flatMap(({ id, answers }) => [
      ...answers.map((answer) => `${sign}.${id}=${answer.id}`),
      ...(answers.some(({ leads }) => leads === 'fixed')
        ? [`${sign}.${id}.fixed=solved`, `${sign}.${id}.fixed=not yet`]
        : []),
    ]);
    expect(reached).toEqual(new Set(ways));
  });

  it('never looks at the line when the patient looks bad or cannot be judged', () => {
    for (const answer of ['bad', 'unsure']) {
      const end = nextQuestion(sign, [{ step: `${sign}.patient`, answer }]);
      expect(end).toMatchObject({ is: 'end', resolved: false, because: { leads: 'clinician' } });
    }
  });

  it('is resolved by nothing but a person who says that what was put right solved it', () => {
    for (const { steps, end } of all) {
      expect(end.resolved).toBe(steps.some(({ answer }) => answer === 'solved'));
      expect(end.because?.leads === 'fixed').toBe(end.resolved);
    }
  });

  it('counts its steps up to the number it says there are', () => {
    const numbers = new Set(all.flatMap(({ asks }) => asks.map(({ number }) => number)));
    expect([...numbers].toSorted((a, b) => a - b)).toEqual(faultPath(sign).map((_, index) => index + 1));
    // What is asked after one answer only counts from that answer on.
    const always = faultPath(sign).filter(({ after }) => !after).length;
    expect(new Set(all.flatMap(({ asks }) => asks.map(({ of }) => of)))).toEqual(
      new Set([always, faultPath(sign).length]),
    );
  });

  it('asks with two or three answers; six of a volume', () => {
    for (const { id, answers } of faultPath(sign)) {
      expect(answers.length).toBeGreaterThanOrEqual(2);
      expect(answers.length).toBeLessThanOrEqual(id === 'lost' ? 6 : 3);
    }
  });
});

// Guess the blood lost: common practice, no source.
describe('a line that came apart', () => {
  const rejoined = [
    { step: 'none.patient', answer: 'well' },
    { step: 'none.joined', answer: 'rejoined' },
  ];

  it('is asked for the blood it lost', () => {
    expect(nextQuestion('none', rejoined)).toMatchObject({ is: 'ask', step: 'none.lost', number: 3, of: 10 });
    const lost = [...rejoined, { step: 'none.lost', answer: '5 mL' }];
    expect(nextQuestion('none', lost)).toMatchObject({ is: 'ask', step: 'none.lost.fixed', isFixed: true });
    expect(answersGiven('none', lost).at(-1)).toMatchObject({ lost: { ml: 5 } });
  });

  it('is not asked for blood where it was joined', () => {
    const joined = [rejoined[0]!, { step: 'none.joined', answer: 'joined' }];
    expect(nextQuestion('none', joined)).toMatchObject({ is: 'ask', step: 'none.limb', of: 9 });
  });
});

describe('nextQuestion', () => {
  it('asks again for a step that was struck, and keeps those after it', () => {
    const steps = [
      { step: 'flat.patient', answer: 'well' },
      { step: 'flat.kink', answer: 'straight' },
    ];
    expect(nextQuestion('flat', steps)).toMatchObject({ step: 'flat.limb', number: 2, of: 9 });
    expect(nextQuestion('flat', [...steps, { step: 'flat.limb', answer: 'good' }])).toMatchObject({
      step: 'flat.draw',
    });
  });

  it('comes to a question or an end of its path whatever the record holds', () => {
    const step = fc.record({
      step: fc.oneof(
        fc.string({ maxLength: 20 }),
        fc.constantFrom(
          ...faultSigns.flatMap((sign) =>
            faultPath(sign).flatMap(({ id }) => [`${sign}.${id}`, `${sign}.${id}.fixed`]),
          ),
        ),
      ),
      answer: fc.oneof(
        fc.string({ maxLength: 20 }),
        fc.constantFrom(
          'well',
          'good',
          'straight',
          'freed',
          'solved',
          'not yet',
          'righted',
          'right',
          'freely',
        ),
      ),
    });
    fc.assert(
      fc.property(fc.constantFrom(...faultSigns), fc.array(step, { maxLength: 30 }), (sign, steps) => {
        const next = nextQuestion(sign, steps);
        const own = steps.filter((one) => one.step.startsWith(`${sign}.`));
        // What belongs to another fault changes nothing.
        expect(nextQuestion(sign, own)).toEqual(next);
        const given = next.is === 'ask' ? own.findLast((one) => one.step === next.step)?.answer : undefined;
        expect(next.is === 'ask' && next.answers.includes(given ?? '')).toBe(false);
        expect(answersGiven(sign, steps).length).toBeLessThanOrEqual(faultPath(sign).length);
      }),
    );
  });
});
