import { partBelow, type Site } from '../../domain/line/anatomy.ts';
import type { SiteFinding } from '../../domain/record/entry.ts';
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
