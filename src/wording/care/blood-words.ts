import { bloodOfAnimal } from '../../domain/blood/blood-loss.ts';
import { type BloodCounted, bloodCountedAt, circulatingMl } from '../../domain/blood/blood-volume.ts';
import type { WardPolicy } from '../../domain/policy/ward-policy.ts';
import type { LineState } from '../../domain/record/line-state.ts';

const oneDecimal = (value: number) =>
  value > 0 && value < 0.05 ? 'under 0.1' : String(Math.round(value * 10) / 10);

/**
 * `10.2 mL of blood lost in 24 h over 2 lines, 4.6 % of the circulating volume; 14 mL since admission`: by all lines of the
 * animal. What was lost at a disconnection is named; since admission is said where that is more; and by whose figure the volume is counted where the animal's own is
 * not known.
 */
export function bloodLostWords(line: LineState, now: number): string {
  const { ml, spiltMl, percent, lines, stayMl, stayLines } = bloodOfAnimal(line, now);
  const over = (count: number) => (count > 1 ? ` over ${count} lines` : '');
  const isMore = oneDecimal(stayMl) !== oneDecimal(ml);
  const stay = isMore
    ? `; ${oneDecimal(stayMl)} mL since admission${stayLines > lines ? over(stayLines) : ''}`
    : '';
  const spilt = spiltMl > 0 ? `, ${oneDecimal(spiltMl)} mL of it at a disconnection` : '';
  return `${oneDecimal(ml)} mL of blood lost in 24 h${over(lines)}, ${oneDecimal(percent)} % of the circulating volume${countedAsWords(line)}${spilt}${stay}`;
}

const figureOf: Readonly<Record<NonNullable<BloodCounted['as']>, string>> = {
  mammal: 'the low end for mammals',
  chicken: 'a chicken’s',
  horse: 'a grown horse’s',
  cattle: 'that of grown cattle',
};

/** ` (counted at 55 mL/kg, the low end for mammals)`; empty where the species has a figure of its own. */
function countedAsWords({ patient }: Pick<LineState, 'patient'>): string {
  const { mlPerKg, as } = bloodCountedAt(patient);
  return as === undefined ? '' : ` (counted at ${mlPerKg} mL/kg, ${figureOf[as]})`;
}

/**
 * What to know before a sample: what was taken in 24 h, and how much is left up to the ward's limit; above it, to ask
 * first.
 */
export function beforeSampleWords(line: LineState, policy: WardPolicy, now: number): string {
  const { ml } = bloodOfAnimal(line, now);
  const limitMl = (policy.bloodWarnPercent / 100) * circulatingMl(line.patient);
  const limit = `${policy.bloodWarnPercent} %, ${oneDecimal(limitMl)} mL`;
  const lost = bloodLostWords(line, now);
  return ml >= limitMl
    ? `${lost}, above the ward’s limit of ${limit}: ask the clinician first.`
    : `${lost}. The ward’s limit is ${limit}: ${oneDecimal(limitMl - ml)} mL are left.`;
}

/** What to know after a sample. */
export function afterSampleWords(line: LineState, policy: WardPolicy, now: number): string {
  const { percent } = bloodOfAnimal(line, now);
  const above =
    percent > policy.bloodWarnPercent
      ? ` Above the ward’s ${policy.bloodWarnPercent} %: tell the clinician.`
      : '';
  return `${bloodLostWords(line, now)}.${above}`;
}
