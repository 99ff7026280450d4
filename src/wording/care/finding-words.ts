import { pressureBeyond } from '../../domain/duties/finding-seen.ts';
import { type Site } from '../../domain/line/anatomy.ts';
import type { WardPolicy } from '../../domain/policy/ward-policy.ts';
import { type BeyondLimit, beyondAt } from '../../domain/reading/beyond-limits.ts';
import { isAlarming, isLimbAlarming, type SiteFinding } from '../../domain/record/entry.ts';
import type { LimbFound, LineState } from '../../domain/record/line-state.ts';
import { listed } from './duty-words.ts';
import { partBelow } from './part-below.ts';
import { trustWords } from './trust-words.ts';

/** What was seen, in words: `swelling and cold hind foot`, or `nothing amiss`. */
export function findingWords(finding: SiteFinding, site: Site): string {
  const part = partBelow(site);
  const seen = [
    finding.swelling && 'swelling',
    finding.pain && 'pain',
    finding.ooze && 'ooze',
    finding.cold && `cold ${part}`,
    finding.noPulse && 'no pulse below',
    finding.soiled && 'dressing soiled',
  ].filter((word) => typeof word === 'string');
  return seen.length === 0 ? 'nothing amiss' : listed(seen);
}

/** What a clinician must look at: `swelling; pulse absent`, `mean 52 mmHg, below the ward’s 60 (doubtful: …)`. */
export function alarmWords(line: LineState, policy: WardPolicy): string {
  const { pulse, site, finding, tipMissing } = line;
  const { limb = null } = finding ?? {};
  const isOther = limb && pulse && !isLimbAlarming(pulse) && pulse.pulse !== limb.pulse;
  const weaker = isOther ? `, since then ${pulse.pulse}` : '';
  const seen = [
    tipMissing && 'catheter tip not whole',
    finding && isAlarming(finding.site) && findingWords(finding.site, site),
    limb && `${limbWords(limb, site)}${weaker}`,
    pressureAlarmWords(line, policy),
  ];
  return seen.filter((words) => typeof words === 'string' && words !== '').join('; ');
}

/** `pulse absent, cold hind foot`, `pulse weak, was present`, `can’t tell if there’s a pulse, as before`. */
export function limbWords(limb: LimbFound, site: Site): string {
  const felt = limb.pulse === 'cannot tell' ? 'can’t tell if there’s a pulse' : `pulse ${limb.pulse}`;
  const cold = limb.cold ? `, cold ${partBelow(site)}` : '';
  const { before } = limb;
  if (before === undefined) return felt + cold;
  return `${felt}${cold}, ${before === limb.pulse ? 'as before' : before === 'cannot tell' ? 'unclear before' : `was ${before}`}`;
}

/** When and by whom the latest of it was seen. */
export function alarmSeen(line: LineState, policy: WardPolicy): { at: number; by: string } | null {
  const seen = [pressureBeyond(line, policy), line.finding, line.tipMissing];
  return seen.reduce((last, one) => (one && (!last || one.told > last.told) ? one : last), null);
}

function pressureAlarmWords(line: LineState, policy: WardPolicy): string {
  const reading = pressureBeyond(line, policy);
  if (!reading) return '';
  const each = beyondAt(reading, reading.at, line, policy).map(
    (one) =>
      `${one.what} ${one.mmHg} mmHg${one.isReckoned ? ' (reckoned)' : ''}, ${one.side} ${limitWords(one)}`,
  );
  return `${each.join('; ')} (${trustWords(line, policy)})`;
}

/** `the ward’s 60`, `its target of 80`. */
export function limitWords({ by, limitMmHg }: BeyondLimit): string {
  return by === 'ward' ? `the ward’s ${limitMmHg}` : `its target of ${limitMmHg}`;
}

/** What leaving it may cost. */
export function alarmRiskWords(line: LineState, policy: WardPolicy): string {
  const pressure = pressureBeyond(line, policy);
  const sides = pressure ? beyondAt(pressure, pressure.at, line, policy).map((one) => one.side) : [];
  const risks = [
    line.tipMissing && `a piece in the artery, loss of the ${partBelow(line.site)}`,
    line.finding && 'ischaemia, bleeding, loss of the limb',
    sides.includes('below') && 'organs without enough blood',
    sides.includes('above') && 'bleeding, organ damage',
  ];
  return risks.filter((risk) => typeof risk === 'string').join('; ');
}

/** `present, cold hind foot`: a pulse check, for after "pulse". */
export function pulseWords(
  { pulse, cold }: { pulse: string; cold?: boolean | undefined },
  site: Site,
): string {
  return `${pulse}${cold ? `, cold ${partBelow(site)}` : ''}`;
}
