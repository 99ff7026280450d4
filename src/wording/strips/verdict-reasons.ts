import { type ByTag, byTag } from '../../domain/by-kind.ts';
import type { JudgedBy } from '../../domain/strip/judge-line.ts';
import { regionWords } from '../care/response-words.ts';
import { faultText } from './strip-finding-words.ts';

const notMeasured: Readonly<Record<Extract<JudgedBy, { by: 'flush not measured' }>['why'], string>> = {
  clipped: 'the recorder cut the ringing off',
  'no beats to compare': 'there are no beats after it to compare with',
  'sampled too slowly': 'the line rings too quickly for so few samples',
  'does not die down': 'what follows it does not die down like ringing',
  'too near the end': 'the strip ends too soon after it',
};

const reasons: ByTag<'by', JudgedBy, [], string> = {
  fault: ({ fault }) => faultText(fault),
  'too few beats': () => 'Too few whole beats to judge.',
  'numbers that look wrong': () => 'The numbers themselves look wrong, so the line is not judged.',
  'a sine without a flush': () =>
    'There is no fast flush on the strip, and a wave as round as a sine does not tell. Do a fast flush and upload again.',
  'flush not measured': ({ why }) => `A fast flush was found but could not be measured: ${notMeasured[why]}.`,
  'no ringing': ({ dampingUpTo }) =>
    `After the flush no ringing stands out from the pulse; it could hide up to damping ${dampingUpTo.toFixed(1)}.`,
  fall: ({ fallMs, dampingAtLeast, isQuick }) =>
    `After the flush it falls to the pulse in ${Math.round(fallMs)} ms and does not ring: damping about ${dampingAtLeast.toFixed(1)} or more. That is ${isQuick ? 'quick enough' : 'too slow'} for this heart rate.`,
  'ringing that cannot be judged': () => 'The ringing could not be judged.',
  ringing: ({ ringingHz, damping, region, isOneTurn }) =>
    `The line rings at ${ringingHz.toFixed(1)} Hz with damping ${damping.value.toFixed(2)} (${damping.low.toFixed(2)} to ${damping.high.toFixed(2)}). ${regionWords(region)}${isOneTurn ? ' It shows by one turn only: a valve that shut slowly looks the same.' : ''}`,
  'beats that ring': () =>
    'The beats ring after the systolic peak. There is no fast flush on the strip to measure it: do one and upload again.',
  'small round beats': () =>
    'The beats are small and round without a notch. A true weak pulse looks the same: look at the animal, then do a fast flush and upload again.',
  'a wave that does not tell': () =>
    'There is no fast flush on the strip, and the wave alone does not tell. Do a fast flush and upload again.',
};

/** Why the line is judged so, or not, one or two sentences. */
export const reasonText = (because: JudgedBy): string => byTag('by', reasons, because);
