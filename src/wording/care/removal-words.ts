import { holdMinutes, isLargeArtery } from '../../domain/duties/after-removal.ts';
import { faultPath } from '../../domain/fault/fault-path.ts';
import { sourceInUse } from '../../domain/fluid/flush-fluid.ts';
import { bleedingRisk } from '../../domain/placing/bleeding-risk.ts';
import type { WardPolicy } from '../../domain/policy/ward-policy.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { minuteMs } from '../../domain/time.ts';
import { rich } from '../rich-text.ts';
import { capital } from './duty-words.ts';
import { findingWords } from './finding-words.ts';
import { riskOfBleedingWords } from './heparin-words.ts';

/**
 * What to know before a line comes out, a sentence each, only what applies to it; rich text. The clinician first: coagulation is
 * looked at before removal in people (BMC Anesthesiol 2024, doi:10.1186/s12871-024-02458-0, Table 4). The rest is common
 * practice, no source.
 */
export function beforeRemovalWords(line: LineState, policy: WardPolicy): string[] {
  const look = isToBeLookedAt(line)
    ? 'Not working? Check for a kink and check the taps before you pull it.'
    : '';
  return [...holdWords(line, policy), look].filter((words) => words !== '');
}

/** How long to hold, and what may make it bleed longer. The form, which asks to check for a kink beside its field, says these alone. */
export function holdWords(line: LineState, policy: WardPolicy): string[] {
  const risk = bleedingRisk(line);
  const hold = holdMinutes(line, policy);
  const heparinUPerMl = sourceInUse(line)?.heparinUPerMl ?? 0;
  const held =
    risk !== null
      ? rich`*${riskOfBleedingWords[risk]}: ask the clinician before it comes out.* Hold ${hold} min, with somebody free to hold; then a bandage, and look again.`
      : isLargeArtery(line.site)
        ? `${capital(line.site)} artery: hold ${hold} min, with somebody free to hold.`
        : '';
  return [
    held,
    risk !== null && heparinUPerMl > 0 ? 'There is heparin in the flush: it may bleed longer.' : '',
  ].filter((words) => words !== '');
}

/** Whether a fault stands of which nobody has recorded that kink and taps were looked at. */
function isToBeLookedAt({ faults, faultLeft }: LineState): boolean {
  const standing = [...faults.filter(({ closedAt }) => closedAt === null), ...(faultLeft ? [faultLeft] : [])];
  return standing.some(({ sign, steps }) =>
    faultPath(sign)
      .filter(({ id, place }) => id === 'kink' || place === 'tap')
      .some(({ id }) => !steps.some(({ step }) => step === `${sign}.${id}`)),
  );
}

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
