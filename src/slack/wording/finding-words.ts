import { partBelow, type Site } from '../../domain/line/anatomy.ts';
import { isAlarming, isLimbAlarming, type SiteFinding } from '../../domain/record/entry.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { listed } from './duty-words.ts';

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

/** What is alarming about the line as last seen: `swelling; pulse absent, cold`. */
export function alarmWords({ siteFinding, pulse, site }: LineState): string {
  const seen = [
    siteFinding && isAlarming(siteFinding.finding) && findingWords(siteFinding.finding, site),
    // A look at the site sees the limb as well: what was felt before it is not said again.
    pulse &&
      isLimbAlarming(pulse) &&
      pulse.at >= (siteFinding?.at ?? 0) &&
      `pulse ${pulse.pulse}${pulse.cold ? `, cold ${partBelow(site)}` : ''}`,
  ];
  return seen.filter((words) => typeof words === 'string').join('; ');
}
