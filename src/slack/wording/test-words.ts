import { expectedErrorOfTest } from '../../domain/dynamic-response/expected-error.ts';
import { likelyCauses } from '../../domain/dynamic-response/likely-cause.ts';
import {
  type MeasuredTest,
  measuredTest,
  type Reckoned,
} from '../../domain/dynamic-response/measured-test.ts';
import {
  type RegionVerdict,
  regionOf,
  regionsLabel,
  regionsWithin,
} from '../../domain/dynamic-response/regions.ts';
import { testRegions } from '../../domain/policy/test-regions.ts';
import type { WardPolicy } from '../../domain/policy/ward-policy.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { capital, listed } from './duty-words.ts';

/** `underdamped (14.8 Hz, damping 0.11)`: the verdict, with the numbers where a strip was measured. */
export function testBriefWords({ verdict, strip, read }: NonNullable<LineState['test']>): string {
  if (read?.damping != null) {
    const fast = read.naturalHz === null ? '' : `${one(read.naturalHz)} Hz, `;
    return `${verdict} (${fast}damping ${read.damping.toFixed(2)}, read from a strip)`;
  }
  const measured = strip && measuredTest(strip);
  if (measured?.result !== 'measured') return verdict;
  const { naturalHz, damping } = measured;
  const fast = naturalHz ? `${one(naturalHz.value)} Hz, ` : '';
  return `${verdict} (${fast}damping ${damping.value.toFixed(2)})`;
}

type Measured = Extract<MeasuredTest, { result: 'measured' }>;

/** Pressures for which the error is said where none was read yet, mmHg. */
const example = { sapMmHg: 120, dapMmHg: 80 } as const;

/**
 * What the latest test's strip comes to, a line of text each: how the line rings, how the ward judges it, what that does to this patient's
 * pressures, and what to try; empty where no strip was measured.
 */
export function testFoundWords(line: LineState, policy: WardPolicy): string {
  const { test } = line;
  if (!test?.strip) return '';
  const measured = measuredTest(test.strip);
  if (measured.result === 'refused') return '';
  const rate = test.heartRatePerMin ?? line.reading?.heartRatePerMin ?? null;
  if (measured.result === 'no second swing') {
    const rings = measured.ringingHz ? `Rings at ${range(measured.ringingHz, 'Hz')}. ` : '';
    const causes = causesWords({ damping: 'over', frequency: 'unknown' });
    return `${rings}No second swing: damping about ${measured.dampingAtLeast.toFixed(1)} or more, and no natural frequency to reckon with. A flush that was let go slowly looks the same: flush again, let go at once.${test.verdict === 'overdamped' ? ` ${causes}` : ''}`;
  }
  const { damping, ringingHz, naturalHz } = measured;
  const numbers = [
    ringingHz && `rings at ${range(ringingHz, 'Hz')}`,
    `damping ${damping.value.toFixed(2)} (${damping.low.toFixed(2)} to ${damping.high.toFixed(2)})`,
    naturalHz && `natural frequency ${range(naturalHz, 'Hz')}`,
  ].filter((text) => typeof text === 'string');
  const told = `${capital(listed(numbers))}; half a square of reading error is in the ranges.`;
  if (!naturalHz) return `${told} Without a cycle’s length nobody can say how fast the line is.`;
  const system = { naturalHz: naturalHz.value, damping: damping.value };
  const verdict = regionOf(system, rate, testRegions(policy));
  const within = regionsWithin(naturalHz, damping, rate, testRegions(policy));
  const others = within.filter((region) => region !== verdict.region);
  const open = others.length > 0 ? ` Half a square could make it ${listed(others)} too.` : '';
  return [
    `*${capital(verdict.region)}* (${regionsLabel}). ${verdict.says}${open}`,
    errorWords(measured, line, rate),
    verdict.region === 'good' ? '' : causesWords(verdict),
    told,
  ]
    .filter((text) => text !== '')
    .join('\n');
}

/** What the line does to this patient's systolic and diastolic, mmHg. */
function errorWords(measured: Measured, line: LineState, rate: number | null): string {
  if (rate === null)
    return 'Tell the heart rate with the test, and I say what it does to this patient’s pressures.';
  const { reading } = line;
  const isRead = reading !== null && reading.sapMmHg > reading.dapMmHg;
  const shown = isRead ? { sapMmHg: reading.sapMmHg, dapMmHg: reading.dapMmHg } : example;
  const error = expectedErrorOfTest(measured, rate, shown);
  if (!error) return '';
  const of = (what: string, key: 'sapMmHg' | 'dapMmHg') =>
    `${what} ${offBy(error.value[key])} (${signed(error.low[key])} to ${signed(error.high[key])})`;
  const whose = isRead
    ? `the last reading ${shown.sapMmHg}/${shown.dapMmHg}`
    : `${shown.sapMmHg}/${shown.dapMmHg}, as no reading was told yet,`;
  return `At ${rate} /min ${whose} is likely off by: ${of('systolic', 'sapMmHg')}, ${of('diastolic', 'dapMmHg')} mmHg. Estimated on a model wave, not on this patient’s.`;
}

function causesWords(found: Parameters<typeof likelyCauses>[0] | RegionVerdict): string {
  const { first, causes, otherwise } = likelyCauses({ damping: found.damping, frequency: found.frequency });
  if (otherwise) return `${first} ${otherwise}`;
  const well = causes.filter(({ fits }) => fits === 'well');
  const named = well.length > 0 ? well : causes;
  const [try1] = named;
  if (!try1) return '';
  return `${first} Fits: ${listed(named.map(({ cause }) => cause))}. Try first: ${try1.tryThis} Then test again.`;
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
