import type { StripFindings } from './strip-findings.ts';

const rhythmWords = {
  regular: 'regular',
  'slightly irregular': 'slightly irregular',
  irregular: 'irregular',
} as const;

/** What a clinician does about each verdict, one clause. */
const verdictWords = {
  normal: 'normal',
  'flat (overdamped)': 'flat (overdamped), so the systolic reads too low',
  'spiky (underdamped)': 'spiky (underdamped), so the systolic reads too high',
  'too slow for this heart rate': 'too slow for this heart rate, so go by the mean',
} as const;

/**
 * A strip in one plain English sentence with units: pressures, rate, rhythm and the verdict on the line with how sure it
 * is; where nothing can be read, what is wrong instead.
 *
 * Example: "ABP over 30 s: 121/76 mmHg, mean 92 mmHg, 120 beats per minute, regular; the line looks normal (fairly sure)."
 */
export function stripSentence({
  channel,
  lengthS,
  beats,
  faults,
  verdict,
  confidence,
}: StripFindings): string {
  const over = `${channel} over ${Math.round(lengthS)} s`;
  const hiding = faults.find(({ hides }) => hides === 'beats');
  if (hiding !== undefined) return `${over} cannot be read (${hiding.fault}): no pressures are given.`;
  if (beats === null) return `${over} has too few whole beats to read: no pressures are given.`;
  const pressures = `${Math.round(beats.sapMmHg)}/${Math.round(beats.dapMmHg)} mmHg, mean ${Math.round(beats.mapMmHg)} mmHg`;
  const rate = `${Math.round(beats.ratePerMin)} beats per minute, ${rhythmWords[beats.rhythm]}`;
  const line =
    verdict === 'cannot tell'
      ? 'whether the line is true cannot be told'
      : `the line looks ${verdictWords[verdict]} (${confidence})`;
  const doubts = faults.length === 0 ? '' : `; doubtful: ${faults.map(({ fault }) => fault).join(', ')}`;
  return `${over}: ${pressures}, ${rate}; ${line}${doubts}.`;
}
