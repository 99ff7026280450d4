import type { WardPolicy } from '../../domain/policy/ward-policy.ts';
import { agreementLimitMmHg } from '../../domain/reading/cuff-difference.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { type Doubt, doubtsOfReading } from '../../domain/trust/doubts-of-reading.ts';

/** What made a zero due, for after "not zeroed since". */
const since: Partial<Record<string, string>> = {
  placed: 'it was placed',
  disturbed: 'it was disturbed',
  redressed: 'the redress',
  sampled: 'the sample',
  'fault closed': 'the fault',
  'source changed': 'the new set',
  joined: 'the transducer was joined',
  left: 'it left the ward',
  arrived: 'it arrived there',
  returned: 'it came back',
};

function doubtWords(doubt: Doubt): string {
  switch (doubt.doubt) {
    case 'never zeroed':
      return 'not zeroed yet';
    case 'not zeroed since':
      return `not zeroed since ${since[doubt.why] ?? doubt.why}`;
    case 'not zeroed this shift':
      return 'not since the shift’s zero';
    case 'not levelled since':
      return `zeroed but not levelled since ${since[doubt.why] ?? doubt.why}`;
    case 'zero was off':
      return `zero was ${Math.abs(doubt.mmHg)} mmHg off afterwards, so it read too ${doubt.mmHg > 0 ? 'high' : 'low'}`;
    case 'not level':
      return `transducer was found ${heightWords(doubt.belowHeartCm)} afterwards: it read ${offWords(doubt.errorMmHg)}`;
    case 'never tested':
      return 'no fast-flush test yet';
    case 'not tested this shift':
      return 'no fast-flush test this shift';
    case 'slow':
      return `the line is slow (natural frequency ${Math.round(doubt.naturalHz)} Hz): trust the mean`;
    case 'mean misfit':
      return `the mean does not fit the other two (${Math.abs(doubt.mmHg)} mmHg ${doubt.mmHg > 0 ? 'above' : 'below'} diastolic and a third of the pulse pressure): read again`;
    case 'no pulse pressure':
      return `only ${doubt.mmHg} mmHg between systolic and diastolic: look at the patient, then the trace`;
    case 'cuff differs':
      return `${doubt.what} ${Math.abs(doubt.mmHg)} mmHg ${doubt.mmHg > 0 ? 'above' : 'below'} the cuff, where 4 of 5 pairs lie within ${agreementLimitMmHg}: one pair proves nothing, take three and a fast-flush test`;
    case 'damping':
      if (doubt.verdict === 'underdamped') return 'underdamped: systolic reads too high, trust the mean';
      if (doubt.verdict === 'overdamped') return 'overdamped: systolic reads too low, trust the mean';
      return 'the fast-flush test could not be judged';
    case 'damping afterwards':
      return `the next fast-flush test found the line ${doubt.verdict}: systolic read too ${doubt.verdict === 'underdamped' ? 'high' : 'low'}, trust the mean`;
  }
}

/** `8 cm below the heart`. */
export function heightWords(belowHeartCm: number): string {
  return `${Math.abs(belowHeartCm)} cm ${belowHeartCm > 0 ? 'below' : 'above'} the heart`;
}

/** `5.9 mmHg too high`. */
export function offWords(errorMmHg: number): string {
  return `${Math.abs(errorMmHg).toFixed(1)} mmHg too ${errorMmHg > 0 ? 'high' : 'low'}`;
}

/** How far the latest reading can be believed: `trusted`, or `doubtful: ` and why. */
export function trustWords(line: LineState, policy: WardPolicy): string {
  const doubts = doubtsOfReading(line, policy).map(doubtWords);
  return doubts.length === 0 ? 'trusted' : `doubtful: ${doubts.join('; ')}`;
}
