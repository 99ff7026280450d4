import type { BeatAgreement } from './beat-agreement.ts';
import type { BeatFindings } from './beat-findings.ts';
import type { FoundBeats } from './find-beats.ts';
import { isTold, type PatientFinding, takeTurns } from './patient-findings.ts';
import type { RowCheck } from './row-check.ts';
import { quantile } from './smoothing.ts';
import type { TraceFault } from './trace-faults.ts';

/**
 * Swings of a line follow the beat one period of its ringing later (lines ring at 5 Hz and above), begin low, and are small; a
 * pulse rises quicker than it falls, and a swing does not (measured on made strips of steady beats through ringing lines).
 */
const swing = {
  surelyS: 0.15,
  latestS: 0.2,
  trough: 0.45,
  small: 0.62,
  lowOfSmallest: 0.56,
  smallest: 0.45,
  fastPerMin: 290,
  tallest: 0.8,
  skewness: 0.1,
  /** Taller ones, by the tall beats, that come that soon are no swings. */
  tallestSoon: 0.68,
} as const;

/** Half the rate, where every second beat is like a swing of the line; else nothing. */
export function otherRate(
  { ratePerMin, intervalVariation }: BeatFindings,
  { soonTrough, turns, smallToTall, skewness }: BeatAgreement,
  intervalsS: readonly number[],
): number | undefined {
  const half = ratePerMin / 2;
  // Beats as often as a line rings, small ones in turn, without the shape of a pulse.
  if (ratePerMin > swing.fastPerMin && smallToTall < swing.tallest && skewness < swing.skewness) return half;
  if (intervalVariation < 0.09 || soonTrough === null) return undefined;
  const shortS = turns?.shortS ?? quantile(intervalsS, 0.1);
  if (shortS < swing.surelyS && soonTrough < swing.trough && smallToTall < swing.tallestSoon) return half;
  if (turns === null || shortS > swing.latestS) return undefined;
  const isLow =
    (smallToTall < swing.small && soonTrough < swing.trough) ||
    (smallToTall < swing.smallest && soonTrough < swing.lowOfSmallest) ||
    (smallToTall < swing.small && skewness < 0);
  return isLow ? half : undefined;
}

/** A beat does not begin so far below the foot before, by the pulse, as a swing does; nor does it fall so much quicker than it rises, unless the heart is fast (own rules). */
const asSwings = { trough: -0.2, skewness: -0.3, fastPerMin: 220 } as const;

/** Whether beats that are told as taking turns have what only swings of a line have. */
export function takeTurnsAsSwings(
  { ratePerMin }: BeatFindings,
  { soonTrough, skewness }: BeatAgreement,
  patient: readonly PatientFinding[],
): boolean {
  if (!takeTurns(patient)) return false;
  if (soonTrough !== null && soonTrough < asSwings.trough) return true;
  return skewness < asSwings.skewness && ratePerMin < asSwings.fastPerMin;
}

export const rateOpen = (ratePerMin: number, openPerMin: number): TraceFault => ({
  fault: 'rate open',
  hides: 'nothing',
  ratePerMin,
  openPerMin,
});

/** A line that damps less swings on for so long that every swing could be taken for a beat; and this little, without growing smaller. */
const swings = { damping: 0.3, evenDamping: 0.02, takeTurns: 0.95 } as const;

/** A doubt where what was taken for beats comes as often as the line rings after a flush; else nothing. */
export function doubtOfRinging(
  ratePerMin: number,
  lines: readonly { ringingHz: number; damping: number }[],
  /** Small beats by the tall ones, where they take turns; 1 where they do not. */
  smallToTall: number,
): TraceFault | undefined {
  const isIt = lines.some(
    ({ ringingHz, damping }) =>
      Math.abs((60 * ringingHz) / ratePerMin - 1) < 0.12 &&
      damping < swings.damping &&
      // A swing is smaller than the one before; beats that all are as tall are no swings.
      (smallToTall < swings.takeTurns || damping < swings.evenDamping),
  );
  return isIt ? rateOpen(ratePerMin, ratePerMin / 2) : undefined;
}

/** No heart beats faster, with what rates are measured off by, /min. */
export const fastestOpenPerMin = 350;

/** Even beats that a row of strokes accounts for; and how far off twice or three times the rate another rate may be. */
const evenBeats = { variation: 0.06, leftShare: 0.03, alike: 0.98, off: 0.15, upTo: 3.3 } as const;
/** Of uneven beats a rate as near as this is no other one; and so near is the rate of the beats without their pauses. */
const sameRate = { uneven: 0.12, usual: 0.08 } as const;

/**
 * Rates that the trace could have instead: of even beats only as many times theirs as there can be beats hidden in each; of
 * beats with pauses not what it would be if each pause held one, where none shows.
 */
export function couldBe(
  { openPerMin, intervalsS }: FoundBeats,
  { ratePerMin, intervalVariation }: BeatFindings,
  { pausesHideBeats, alike }: BeatAgreement,
  { patient, row }: { patient: readonly PatientFinding[]; row: RowCheck | null },
): number[] {
  const usualPerMin = 60 / quantile(intervalsS, 0.5);
  const isPaused = isTold(patient, 'pauses') && !pausesHideBeats;
  // Beats of a slow heart are not held against a row.
  const isBorneOut =
    row === null ? alike > evenBeats.alike : row.missed === 0 && row.leftShare < evenBeats.leftShare;
  const isEven = intervalVariation < evenBeats.variation && isBorneOut;
  return openPerMin.filter((open) => {
    const times = open / ratePerMin;
    if (isPaused && Math.abs(open / usualPerMin - 1) < sameRate.usual) return false;
    if (patient.length > 0 && Math.abs(times - 1) < sameRate.uneven) return false;
    if (!isEven) return true;
    return times > evenBeats.upTo || [2, 3].some((n) => Math.abs(times - n) < evenBeats.off);
  });
}
