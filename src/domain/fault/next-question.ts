import { faultPath } from './fault-path.ts';
import { type FaultAnswer, type FaultQuestion, type FaultSign, faultSigns } from './fault-questions.ts';

/** One answer given, as the record holds it: `flat.kink` or `flat.kink.fixed`, and the answer's id. */
export interface FaultStep {
  step: string;
  answer: string;
}

/** An answer that was given, and to which question. */
export type GivenAnswer = FaultAnswer & { question: FaultQuestion['id'] };

/** Asked after something was put right. */
export const fixedAnswers = ['solved', 'not yet'] as const;

/** What is asked now: a question of the path, or whether what was put right solved it. */
export interface FaultAsk {
  is: 'ask';
  /** The id under which its answer is written. */
  step: string;
  question: FaultQuestion;
  /** Whether it asks if what was just put right solved it. */
  isFixed: boolean;
  /** Ids of the answers there are. */
  answers: readonly string[];
  /** Place in the path, from 1, and how long the path is. */
  number: number;
  of: number;
}

/** The path has ended; `because` is the answer that ended it early, null where nothing more is left to look at. */
export interface FaultEnd {
  is: 'end';
  resolved: boolean;
  because: GivenAnswer | null;
}

/**
 * Where a fault's path stands after the steps recorded of it. Looks at which questions have an answer, not at their order,
 * so that a step that was struck is asked again and one of an older version counts for nothing.
 *
 * Example: a flat trace, nothing recorded → the question about the patient.
 */
export function nextQuestion(sign: FaultSign, steps: readonly FaultStep[]): FaultAsk | FaultEnd {
  const path = faultPath(sign).filter(
    ({ after }) => !after || answerIn(steps, `${sign}.${after.question}`) === after.answer,
  );
  for (const [index, question] of path.entries()) {
    const step = `${sign}.${question.id}`;
    const at = { is: 'ask' as const, question, number: index + 1, of: path.length };
    const given = answerTo(question, answerIn(steps, step));
    if (!given) return { ...at, step, isFixed: false, answers: question.answers.map(({ id }) => id) };
    if (given.leads === 'clinician') return { is: 'end', resolved: false, because: given };
    if (given.leads === 'next') continue;
    const after = answerIn(steps, `${step}.fixed`);
    if (after === 'solved') return { is: 'end', resolved: true, because: given };
    if (after !== 'not yet') return { ...at, step: `${step}.fixed`, isFixed: true, answers: fixedAnswers };
  }
  return { is: 'end', resolved: false, because: null };
}

/** The sign a step's id belongs to; undefined where it is none of ours. */
export function signOfStep(step: string): string | undefined {
  return step.split('.')[0];
}

/** The question a step belongs to, and whether it says if something solved it; undefined where it is none of ours. */
export function questionOf({
  step,
}: Pick<FaultStep, 'step'>): { sign: FaultSign; question: FaultQuestion; isFixed: boolean } | undefined {
  const [of, id, fixed] = step.split('.');
  const sign = faultSigns.find((one) => one === of);
  const question = sign && faultPath(sign).find((one) => one.id === id);
  return question && { sign, question, isFixed: fixed !== undefined };
}

/** The answer of the path that a step names; undefined where it is none of ours, or says whether something solved it. */
export function answerOf(step: FaultStep): GivenAnswer | undefined {
  const of = questionOf(step);
  return of && !of.isFixed ? answerTo(of.question, step.answer) : undefined;
}

/** The answers given to a fault's questions, in the path's order; whether what was put right solved it is left out. */
export function answersGiven(sign: FaultSign, steps: readonly FaultStep[]): GivenAnswer[] {
  return faultPath(sign).flatMap(
    (question) => answerTo(question, answerIn(steps, `${sign}.${question.id}`)) ?? [],
  );
}

function answerIn(steps: readonly FaultStep[], step: string): string | undefined {
  return steps.findLast((one) => one.step === step)?.answer;
}

function answerTo(question: FaultQuestion, id: string | undefined): GivenAnswer | undefined {
  const answer = question.answers.find((one) => one.id === id);
  return answer && { ...answer, question: question.id };
}
