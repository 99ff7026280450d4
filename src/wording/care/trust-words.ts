import type { WardPolicy } from '../../domain/policy/ward-policy.ts';
import { agreementLimitMmHg } from '../../domain/reading/cuff-difference.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { type Doubt, doubtsOfReading, stillUsable } from '../../domain/trust/doubts-of-reading.ts';
import type { RateFrom, ResponseDoubt } from '../../domain/trust/line-response.ts';
import { listed } from './duty-words.ts';

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
    case 'mean misfit':
      return `the mean does not fit the other two (${Math.abs(doubt.mmHg)} mmHg ${doubt.mmHg > 0 ? 'above' : 'below'} diastolic and a third of the pulse pressure): read again`;
    case 'no pulse pressure':
      return `only ${doubt.mmHg} mmHg between systolic and diastolic: look at the patient, then the trace`;
    case 'cuff differs':
      return `${doubt.what} ${Math.abs(doubt.mmHg)} mmHg ${doubt.mmHg > 0 ? 'above' : 'below'} the cuff, where 4 of 5 pairs lie within ${agreementLimitMmHg}: one pair proves nothing, take three and a fast-flush test`;
    case 'never tested':
    case 'not tested this shift':
    case 'damping':
    case 'by eye':
    case 'response':
    case 'rate not recorded':
      return responseWords(doubt);
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

function responseWords(doubt: ResponseDoubt): string {
  switch (doubt.doubt) {
    case 'never tested':
      return 'no fast-flush test yet';
    case 'not tested this shift':
      return 'no fast-flush test this shift';
    case 'damping': {
      const { verdict, afterwards } = doubt;
      if (verdict === 'cannot tell') return 'the fast-flush test could not be judged';
      const side = verdict === 'underdamped' ? 'high' : 'low';
      return afterwards
        ? `the next fast-flush test found the line ${verdict}: systolic read too ${side}`
        : `${verdict}: systolic reads too ${side}`;
    }
    case 'by eye':
      return `tested by eye, and at ${rateText(doubt)} a strip is needed`;
    case 'response': {
      const found = `${regionText(doubt)}${offText(doubt.error)}`;
      return doubt.afterwards ? `by the next fast-flush test ${found}` : found;
    }
    case 'rate not recorded':
      return doubt.upToPerMin === null
        ? 'no heart rate given, and the line is too slow for any that is likely'
        : `no heart rate given, and ${doubt.by === 'eye' ? 'a test by eye' : 'this line'} is good up to ${doubt.upToPerMin} /min`;
  }
}

/** `200 /min`, `200 /min, told with the test`. */
export function rateText({ perMin, rateFrom }: { perMin: number; rateFrom: RateFrom }): string {
  return `${perMin} /min${rateFrom === 'test' ? ' (given with the test)' : ''}`;
}

function regionText(doubt: Extract<ResponseDoubt, { doubt: 'response' }>): string {
  const { region, naturalHz, wantedHz } = doubt;
  switch (region) {
    case 'unacceptable':
    case 'borderline':
      return `the line is too slow for any pulse (${naturalHz.toFixed(1)} Hz)`;
    case 'slow for this heart rate':
      return `the line is slow for ${rateText(doubt)} (${naturalHz.toFixed(1)} Hz, wanted ${wantedHz.toFixed(1)})`;
    case 'good':
    case 'adequate':
    case 'underdamped':
    case 'overdamped':
      return `${region} at ${rateText(doubt)}`;
  }
}

/** `, systolic likely 17 mmHg too high (16 to 18)`: what the model expects; the diastolic where it is off too. */
function offText(error: Extract<ResponseDoubt, { doubt: 'response' }>['error']): string {
  if (error === null) return '';
  const one = (what: string, key: 'sapMmHg' | 'dapMmHg') => {
    const [value, low, high] = [error.value[key], error.low[key], error.high[key]].map(Math.round);
    if (value === undefined || low === undefined || high === undefined) return [];
    if (value === 0 && low === 0 && high === 0) return [];
    const ends = low === high ? '' : ` (${endText(low)} to ${endText(high)})`;
    return [
      `${what} likely ${value === 0 ? 'right' : `${Math.abs(value)} mmHg too ${sideOf(value)}`}${ends}`,
    ];
  };
  const isDiastolicOff = Math.max(Math.abs(error.low.dapMmHg), Math.abs(error.high.dapMmHg)) >= smallMmHg;
  const off = [...one('systolic', 'sapMmHg'), ...(isDiastolicOff ? one('diastolic', 'dapMmHg') : [])];
  return off.length === 0 ? ', systolic and diastolic likely right' : `: ${listed(off)}`;
}

/** Less than this of the diastolic is not worth a reader's time, mmHg. */
const smallMmHg = 2;

function endText(mmHg: number): string {
  return mmHg > 0 ? `+${mmHg}` : mmHg < 0 ? `−${Math.abs(mmHg)}` : '0';
}

function sideOf(mmHg: number): 'high' | 'low' {
  return mmHg > 0 ? 'high' : 'low';
}

/** Which pressure can still be gone by, for the end of the doubts. */
function usableText(doubts: readonly Doubt[], reading: NonNullable<LineState['reading']>): string {
  const left = stillUsable(doubts, reading);
  if (left === null) return '';
  if (left.use === 'mean, as far off') return '; go by the mean, put right by that';
  if (left.after === 'zeroing') return '; zero it, then go by the mean';
  return left.mmHg === null
    ? '; go by the monitor’s mean (not given)'
    : `; go by the mean (${left.mmHg} mmHg)`;
}

/**
 * How far the latest reading can be believed: `trusted`, `trusted up to 160 /min, above that only the mean: no heart rate given`, or
 * `doubtful: `, why, and which pressure can still be used.
 */
export function trustWords(line: LineState, policy: WardPolicy): string {
  const { reading } = line;
  const doubts = doubtsOfReading(line, policy);
  const [only] = doubts;
  if (reading === null || only === undefined) return 'trusted';
  if (doubts.length === 1 && only.doubt === 'rate not recorded' && only.upToPerMin !== null)
    return `trusted up to ${only.upToPerMin} /min, above that only the mean: no heart rate given`;
  return `doubtful: ${doubts.map(doubtWords).join('; ')}${usableText(doubts, reading)}`;
}

/**
 * The same at a time in the shift that began at `shiftFromMs`: a reading from before it is never plainly trusted, whatever it was
 * worth then. That a number is read anew in each shift is common practice, no source.
 */
export function trustNowWords(line: LineState, policy: WardPolicy, shiftFromMs: number): string {
  const words = trustWords(line, policy);
  if (line.reading === null || line.reading.at >= shiftFromMs) return words;
  return words === 'trusted'
    ? 'trusted then, but from before this shift: read again'
    : `${words}; from before this shift: read again`;
}
