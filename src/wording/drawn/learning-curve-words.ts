import type { LearningCurve } from '../../domain/audit/learning-curve.ts';
import type { CusumRates } from '../../domain/statistics/cusum.ts';
import { altTextOf } from './alt-text.ts';
import { counted, percentWords } from './figure-words.ts';
import type { SheetWords } from './sheet-words.ts';

/** Which limit says so. */
export const limitOf = { acceptable: 'lower', unacceptable: 'upper' } as const;

/** In the drawing of a learning curve. */
export const learningCurveLabels = {
  curve: 'Curve (CUSUM)',
  limits: 'limits',
  upper: 'upper limit reached',
  lower: 'lower limit reached',
  tries: 'tries',
} as const;

const stands = {
  acceptable: 'Lower limit reached last: fewer fail than is unacceptable.',
  unacceptable: 'Upper limit reached last: more fail than is acceptable.',
  'not decided': 'No limit was reached: too few tries to say anything yet.',
} as const;

/** One person’s learning curve in words, without a name. */
export function learningCurveWords(curve: LearningCurve, rates: CusumRates): SheetWords {
  const { attempts, failures, points } = curve;
  const title = 'Learning curve of placing';
  const told = `${counted(attempts, 'try', 'tries')}, ${failures} failed.`;
  const against = `Held against: ${percentWords(rates.acceptable)} failing is acceptable, ${percentWords(rates.unacceptable)} is not. Chance of calling good bad (alpha) ${percentWords(rates.alpha)}, bad good (beta) ${percentWords(rates.beta)}.`;
  const standing = attempts === 0 ? 'No try was recorded.' : stands[curve.stands];
  const crossings = points.flatMap(({ attempt, crossed }) =>
    crossed ? [`${limitOf[crossed]} limit at try ${attempt}`] : [],
  );
  return {
    fileName: 'learning-curve.png',
    title,
    lead: [told, standing],
    foot: [
      'A failed try takes the curve up, one that succeeded down (CUSUM).',
      'Where a limit is reached, both are reckoned anew from there.',
      against,
      'Feedback for whoever tried; never a licence.',
    ],
    altText: altTextOf(
      `${title}, a CUSUM chart without a name: ${told} ${standing} ${against} A failed try takes the curve up, one that succeeded down. Limits reached`,
      crossings.length > 0 ? crossings : ['none'],
      ['Feedback for whoever tried; never a licence.'],
    ),
  };
}
