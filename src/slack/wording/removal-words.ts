import { holdMinutes } from '../../domain/duties/after-removal.ts';
import { minuteMs } from '../../domain/duties/duty.ts';
import type { WardPolicy } from '../../domain/policy/ward-policy.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { findingWords } from './finding-words.ts';

type Removed = NonNullable<LineState['removed']>;

/** `tip whole`, `tip not whole`, `tip not whole, every piece found`, `tip not looked at`. */
export function tipWords({ tipWhole, pieceFound }: Pick<Removed, 'tipWhole' | 'pieceFound'>): string {
  if (tipWhole === undefined) return 'tip not looked at';
  if (tipWhole) return 'tip whole';
  return pieceFound ? 'tip not whole, every piece found' : 'tip not whole';
}

/** What a catheter that is not whole asks for; that and why are common practice, no source. */
export const keepCatheterWords = 'Keep the catheter and every piece for the clinician';

/**
 * What was seen of the puncture since the line came out, or that the hold is over and nobody looked: no reminder says so
 * any more an hour later. Empty while it is held, and of an animal that died.
 */
export function punctureWords(
  line: LineState,
  policy: WardPolicy,
  clock: (atMs: number) => string,
  now: number,
): string {
  const { removed, holdFrom, holdEnded, siteFinding, site } = line;
  if (!removed || removed.reason === 'death') return '';
  if (siteFinding && siteFinding.at > Math.max(removed.at, holdEnded?.at ?? 0))
    return `Puncture looked at ${clock(siteFinding.at)}: ${findingWords(siteFinding.finding, site)}.`;
  if (holdEnded) return `Puncture not oozing ${clock(holdEnded.at)}.`;
  const isHeld = now < (holdFrom ?? removed.at) + holdMinutes(line, policy) * minuteMs;
  return isHeld ? '' : 'Puncture not looked at after the hold.';
}
