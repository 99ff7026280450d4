import { bloodLostIn24h, circulatingMl } from '../../domain/blood/blood-loss.ts';
import type { WardPolicy } from '../../domain/policy/ward-policy.ts';
import type { LineState } from '../../domain/record/line-state.ts';

const oneDecimal = (value: number) =>
  value > 0 && value < 0.05 ? 'under 0.1' : String(Math.round(value * 10) / 10);

/** `10.2 mL of blood lost, 4.6 % of the circulating volume`: what the line took in the last 24 h. */
export function bloodLostWords(line: LineState, now: number): string {
  const { ml, percent } = bloodLostIn24h(line.patient, line.samples, now);
  return `${oneDecimal(ml)} mL of blood lost, ${oneDecimal(percent)} % of the circulating volume`;
}

/**
 * What to know before a sample: what was taken in 24 h, and how much is left up to the ward's limit; above it, to ask
 * first.
 */
export function beforeSampleWords(line: LineState, policy: WardPolicy, now: number): string {
  const { ml } = bloodLostIn24h(line.patient, line.samples, now);
  const limitMl = (policy.bloodWarnPercent / 100) * circulatingMl(line.patient);
  const limit = `${policy.bloodWarnPercent} %, ${oneDecimal(limitMl)} mL`;
  return ml >= limitMl
    ? `Lost in 24 h: ${bloodLostWords(line, now)}. Above the ward’s limit (${limit}): ask the clinician first.`
    : `Lost in 24 h: ${bloodLostWords(line, now)}. ${oneDecimal(limitMl - ml)} mL are left up to the ward’s limit (${limit}).`;
}

/** What to know after a sample. */
export function afterSampleWords(line: LineState, policy: WardPolicy, now: number): string {
  const { percent } = bloodLostIn24h(line.patient, line.samples, now);
  const above =
    percent > policy.bloodWarnPercent
      ? ` Above the ward’s ${policy.bloodWarnPercent} %: tell the clinician.`
      : '';
  return `In 24 h: ${bloodLostWords(line, now)}.${above}`;
}
