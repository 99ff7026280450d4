import type { DutyKind } from '../../domain/duty-kind.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { dutyName } from './duty-words.ts';

/** What is done at the bedside, as short as the trade says it; what is not here has its usual name. */
const short: Partial<Record<DutyKind, string>> = {
  zero: 'zero',
  test: 'test',
  source: 'source check',
  runOut: 'new flush source',
  site: 'site check',
  stillNeeded: 'ask if still needed',
  set: 'new transducer set',
  dwellLimit: 'take out (dwell limit)',
  hold: 'look at the puncture',
  faultOpen: 'open fault',
};

/** A duty as a list of visits names it: `flush`, `zero`, `site check`. */
export function actName(kind: DutyKind, line?: LineState): string {
  return short[kind] ?? dutyName(kind, line);
}
