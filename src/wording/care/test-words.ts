import { measuredTest, type Reckoned } from '../../domain/dynamic-response/measured-test.ts';
import { type RegionVerdict, regionOf, regionsWithin } from '../../domain/dynamic-response/regions.ts';
import { type MeasuredLine, type ResponseAt, responseAt } from '../../domain/dynamic-response/response-at.ts';
import { responseLimits, testRegions } from '../../domain/policy/test-regions.ts';
import type { WardPolicy } from '../../domain/policy/ward-policy.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { latestRate, measuredLine, pressuresShown } from '../../domain/trust/line-response.ts';
import { rich } from '../rich-text.ts';
import { capital, listed } from './duty-words.ts';
import { causesWords, regionsLabel, regionWords } from './response-words.ts';

/**
 * `normal, by eye`, `underdamped at 200 /min (16.0 Hz, damping 0.25)`: the verdict. Where a strip was measured it is the one at
 * the heart rate recorded last, on the pulse read last.
 */
export function testBriefWords(line: LineState, policy: WardPolicy): string {
  const { test } = line;
  if (!test) return 'not done yet';
  const measured = measuredLine(test);
  const rate = latestRate(line);
  if (!measured) {
    if (test.verdict !== 'normal') return test.verdict + dampingText(test);
    if (rate !== null && rate > policy.byEyeUpToPerMin)
      return `normal by eye, and at ${rate} /min a strip is needed`;
    return 'normal, by eye';
  }
  const { naturalHz, damping } = measured.system;
  const from = test.read ? ', read from a strip' : '';
  const numbers = `(${one(naturalHz)} Hz, damping ${damping.toFixed(2)}${from})`;
  if (rate === null) return `${test.verdict}, no heart rate given ${numbers}`;
  const { verdict } = responseAt(measured, rate, pressuresShown(line), responseLimits(policy));
  const { region } = verdict;
  return `${region}${region === 'slow for this heart rate' ? ',' : ' at'} ${rate} /min ${numbers}`;
}

/** ` (damping 0.62)` of a test whose frequency could not be seen. */
function dampingText({ read, strip }: NonNullable<LineState['test']>): string {
  if (read?.damping != null) return ` (damping ${read.damping.toFixed(2)}, read from a strip)`;
  const measured = strip && measuredTest(strip);
  return measured?.result === 'measured' ? ` (damping ${measured.damping.value.toFixed(2)})` : '';
}

/**
 * What the latest test comes to, a line of text each: how the line rings, how the ward judges it at this heart rate, what that
 * does to this patient's pressures, and what to try; of one by eye, up to which heart rate it is enough.
 */
export function testFoundWords(line: LineState, policy: WardPolicy): string {
  const { test } = line;
  if (!test) return '';
  const found = measuredLine(test);
  const rate = latestRate(line);
  if (found) return measuredWords(line, found, rate, policy);
  const measured = test.strip && measuredTest(test.strip);
  if (measured?.result === 'no second swing') {
    const rings = measured.ringingHz ? `Rings at ${range(measured.ringingHz, 'Hz')}. ` : '';
    const causes = causesWords({ damping: 'over', frequency: 'unknown' });
    return `${rings}No second swing: damping about ${measured.dampingAtLeast.toFixed(1)} or more, and no natural frequency can be worked out. A flush that was let go slowly looks the same: flush again, let go at once.${test.verdict === 'overdamped' ? ` ${causes}` : ''}`;
  }
  if (measured?.result === 'measured') {
    const { value, low, high } = measured.damping;
    return `Damping ${value.toFixed(2)} (${low.toFixed(2)} to ${high.toFixed(2)}). Without a cycle’s length nobody can say how fast the line is.`;
  }
  const byEye = { normal: null, underdamped: 'under', overdamped: 'over', 'cannot tell': null } as const;
  const damping = byEye[test.verdict];
  if (damping !== null) return causesWords({ damping, frequency: 'unknown' });
  return test.verdict === 'normal' ? byEyeWords(rate, policy) : '';
}

function byEyeWords(rate: number | null, { byEyeUpToPerMin }: WardPolicy): string {
  if (rate === null)
    return `By eye that is enough up to ${byEyeUpToPerMin} /min; above that, measure a strip.`;
  if (rate <= byEyeUpToPerMin) return '';
  return `By eye: at ${rate} /min you need a strip before you can trust the systolic and diastolic. Until then go by the mean.`;
}

function measuredWords(
  line: LineState,
  found: MeasuredLine,
  rate: number | null,
  policy: WardPolicy,
): string {
  const at = rate === null ? null : responseAt(found, rate, pressuresShown(line), responseLimits(policy));
  const verdict = at?.verdict ?? regionOf(found.system, null, testRegions(policy));
  return [
    rich`*${capital(verdict.region)}* (${regionsLabel}). ${regionWords(verdict)}${openWords(found, verdict, rate, policy)}`,
    errorWords(line, at, rate),
    verdict.region === 'good' ? '' : causesWords(verdict),
    numbersWords(found),
  ]
    .filter((text) => text !== '')
    .join('\n');
}

function numbersWords({ system, measured }: MeasuredLine): string {
  if (measured === null)
    return `Natural frequency ${one(system.naturalHz)} Hz, damping ${system.damping.toFixed(2)}, read from a strip.`;
  const { damping, ringingHz, naturalHz } = measured;
  const numbers = [
    ringingHz && `rings at ${range(ringingHz, 'Hz')}`,
    `damping ${damping.value.toFixed(2)} (${damping.low.toFixed(2)} to ${damping.high.toFixed(2)})`,
    naturalHz && `natural frequency ${range(naturalHz, 'Hz')}`,
  ].filter((text) => typeof text === 'string');
  return `${capital(listed(numbers))}; half a square of reading error is in the ranges.`;
}

/** What else the reading error of the test leaves open. */
function openWords(
  { measured }: MeasuredLine,
  { region }: RegionVerdict,
  rate: number | null,
  policy: WardPolicy,
): string {
  if (!measured?.naturalHz) return '';
  const within = regionsWithin(measured.naturalHz, measured.damping, rate, testRegions(policy));
  // What the pulse makes of an adequate line is not open: half a square does not mend it.
  const others = within.includes(region) ? within.filter((one) => one !== region) : [];
  return others.length > 0 ? ` Half a square could make it ${listed(others)} too.` : '';
}

/** What the line does to this patient's systolic and diastolic, mmHg, and whether the ward goes by them. */
function errorWords(line: LineState, at: ResponseAt | null, rate: number | null): string {
  if (at === null || rate === null)
    return 'Record the heart rate with the test, and I’ll say what it does to this patient’s pressures.';
  const { error, isEnough } = at;
  if (!error) return '';
  const shown = pressuresShown(line);
  const of = (what: string, key: 'sapMmHg' | 'dapMmHg') => {
    const ends = error.low === error.high ? '' : ` (${signed(error.low[key])} to ${signed(error.high[key])})`;
    return `${what} ${offBy(error.value[key])}${ends}`;
  };
  const whose = shown.isRead
    ? `the last reading ${shown.sapMmHg}/${shown.dapMmHg}`
    : `${shown.sapMmHg}/${shown.dapMmHg}, as there’s no reading yet,`;
  return `At ${rate} /min ${whose} is likely off by: ${of('systolic', 'sapMmHg')}, ${of('diastolic', 'dapMmHg')} mmHg. Estimated on a model wave, not on this patient’s.${isEnough ? '' : ' Go by the mean.'}`;
}

function range({ value, low, high }: Reckoned, unit: string): string {
  const upper = high === null ? 'more' : one(high);
  return `${one(value)} ${unit} (${one(low)} to ${upper})`;
}

function one(value: number): string {
  return value.toFixed(1);
}

function offBy(mmHg: number): string {
  const whole = Math.round(mmHg);
  if (whole === 0) return 'right';
  return `${Math.abs(whole)} too ${whole > 0 ? 'high' : 'low'}`;
}

function signed(mmHg: number): string {
  const whole = Math.round(mmHg);
  return whole > 0 ? `+${whole}` : whole < 0 ? `−${Math.abs(whole)}` : '0';
}
