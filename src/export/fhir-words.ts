import type { DutyKind } from '../domain/duty-kind.ts';
import type { ExpectedErrorRange } from '../domain/dynamic-response/expected-error.ts';
import type { Caution } from '../domain/placing/screening.ts';
import type { SiteFinding } from '../domain/record/entry.ts';
import type { Doubt, StillUsable } from '../domain/trust/doubts-of-reading.ts';

/** What each duty asks for, for people who never saw the ward's channel. */
export const dutyWords: Record<DutyKind, string> = {
  finding: 'Clinician looks at the finding below the line',
  fault: 'Clinician decides on the line fault that was not resolved',
  faultOpen: 'Go on with the line fault that was left half way',
  dwellLimit: 'Take the line out: dwell limit',
  dwellWarning: 'Dwell limit comes near',
  hold: 'Look at the puncture after holding pressure',
  flush: 'Flush by hand',
  runOut: 'Change the flush source before it runs out',
  zero: 'Zero and level',
  test: 'Fast-flush test',
  source: 'Check the flush source',
  site: 'Check site and limb',
  pulse: 'Check the pulse after removal',
  pulseNextDay: 'Check the pulse the next day',
  redress: 'Redress',
  stillNeeded: 'Clinician answers whether the line is still needed',
  set: 'Change transducer set and tubing',
};

/** What speaks against an arterial line, in words. */
export const cautionWords: Record<Caution, string> = {
  'bleeding disorder': 'bleeding disorder',
  'clotting unknown': 'clotting not known',
  'walking patient': 'walking patient',
  cat: 'cat',
  'broken skin': 'broken or infected skin at the site',
  'no pulse or collateral flow': 'no pulse, or no other flow to the limb',
};

/** What was seen at a site and below it, in words; `nothing amiss` where nothing was found. */
export function findingWords(finding: SiteFinding): string {
  const names = {
    swelling: 'swelling',
    pain: 'pain',
    ooze: 'ooze',
    cold: 'cold',
    noPulse: 'no pulse',
    soiled: 'soiled',
  } as const;
  const seen = (Object.keys(names) as (keyof typeof names)[]).filter((name) => finding[name]);
  return seen.length === 0 ? 'nothing amiss' : seen.map((name) => names[name]).join(', ');
}

/** Why a reading should not be believed as it stands, in words. */
export function doubtWords(doubt: Doubt): string {
  switch (doubt.doubt) {
    case 'never zeroed':
      return 'the line was never zeroed';
    case 'not zeroed since':
      return `not zeroed since: ${doubt.why}`;
    case 'not levelled since':
      return `zeroed but not levelled since: ${doubt.why}`;
    case 'not zeroed this shift':
      return 'not zeroed this shift';
    case 'zero was off':
      return `the next zero found ${doubt.mmHg} mmHg open to air`;
    case 'not level':
      return `the transducer was found ${doubt.belowHeartCm} cm below the heart (negative: above), ${doubt.errorMmHg.toFixed(1)} mmHg`;
    case 'never tested':
      return 'the line was never fast-flush tested';
    case 'not tested this shift':
      return 'not fast-flush tested this shift';
    case 'by eye':
      return `fast-flush test judged by eye only, which at a heart rate of ${doubt.perMin}/min is not enough`;
    case 'response':
      return `${doubt.afterwards ? 'by the next fast-flush test ' : ''}${doubt.region} at a heart rate of ${doubt.perMin}/min (natural frequency ${doubt.naturalHz.toFixed(1)} Hz, wanted ${doubt.wantedHz.toFixed(1)} Hz)${expectedWords(doubt.error)}`;
    case 'rate not recorded':
      return doubt.upToPerMin === null
        ? 'no heart rate was recorded, and the line is too slow for any that is likely'
        : `No heart rate was recorded: systolic and diastolic are to be believed up to ${doubt.upToPerMin}/min only`;
    case 'mean misfit':
      return `the mean is ${doubt.mmHg.toFixed(0)} mmHg from what systolic and diastolic would make`;
    case 'no pulse pressure':
      return `pulse pressure ${doubt.mmHg} mmHg`;
    case 'cuff differs':
      return `${doubt.what} of line less cuff ${doubt.mmHg.toFixed(0)} mmHg`;
    case 'damping': {
      if (doubt.verdict === 'cannot tell') return 'damping could not be judged';
      return doubt.afterwards ? `the next fast-flush test found the line ${doubt.verdict}` : doubt.verdict;
    }
  }
}

/** What the model expects a line to have added to systolic and diastolic, mmHg. */
function expectedWords(error: ExpectedErrorRange | null): string {
  if (error === null) return '';
  const { sapMmHg, dapMmHg } = error.value;
  return `, expected error by a model: systolic ${whole(sapMmHg)}, diastolic ${whole(dapMmHg)} mmHg (above 0: reads too high)`;
}

/** Which pressure of a doubted reading can still be used; nothing where none can be named. */
export function usableWords(left: StillUsable | null): string {
  if (left === null) return '';
  if (left.use === 'mean, as far off') return ' The mean is off by no more than its zero or height.';
  const mean = left.mmHg === null ? 'The monitor’s mean, which was not recorded,' : 'The mean';
  return left.after === 'zeroing' ? ` ${mean} can be used once the line is zeroed.` : ` ${mean} can be used.`;
}

function whole(mmHg: number): number {
  // Adding 0 makes a negative zero a plain one.
  return Math.round(mmHg) + 0;
}

/** How a line is flushed, in words. */
export function howFlushed(mode: 'manual' | 'continuous'): string {
  return mode === 'manual' ? 'by hand' : 'continuously';
}
