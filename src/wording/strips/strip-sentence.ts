import type { BeatFindings } from '../../domain/strip/beat-findings.ts';
import type { PatientFinding } from '../../domain/strip/patient-findings.ts';
import type { StripFindings } from '../../domain/strip/strip-findings.ts';

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

/** The rhythm in a few words, where the beats say something of the patient. */
const patientWords: Readonly<Record<PatientFinding['finding'], string>> = {
  alternans: 'tall and small in turn (pulsus alternans)',
  bigeminy: 'in pairs (bigeminy?)',
  'every second small': 'every second one small (alternans or bigeminy)',
  pauses: 'with missing beats',
  irregular: 'irregular',
};

const span = ({ from, to }: { from: number; to: number }) => `${Math.round(from)}–${Math.round(to)}`;

/** Systolic over diastolic: the means, or what most beats lie between where they differ from beat to beat. */
function pressureWords(beats: BeatFindings, patient: readonly PatientFinding[]): string {
  const pressures =
    patient.length === 0
      ? `${Math.round(beats.sapMmHg)}/${Math.round(beats.dapMmHg)}`
      : `${span(beats.sapRangeMmHg)}/${span(beats.dapRangeMmHg)}`;
  return `${pressures} mmHg, mean ${Math.round(beats.mapMmHg)} mmHg`;
}

/**
 * A strip in one plain English sentence with units: pressures, rate, rhythm and the verdict on the line with how sure it
 * is; where something is doubtful that first; where nothing can be read, what is wrong instead.
 *
 * Example: "ABP over 30 s: 121/76 mmHg, mean 92 mmHg, 120 beats per minute, regular; the line looks normal (fairly sure)."
 */
export function stripSentence({
  channel,
  lengthS,
  beats,
  faults,
  patient,
  verdict,
  confidence,
}: StripFindings): string {
  const over = `${channel} over ${Math.round(lengthS)} s`;
  const hiding = faults.find(({ hides }) => hides === 'beats');
  if (hiding !== undefined) return `${over} cannot be read (${hiding.fault}): no pressures are given.`;
  if (beats === null) return `${over} has too few whole beats to read: no pressures are given.`;
  const [finding] = patient;
  const rhythm =
    finding === undefined
      ? rhythmWords[beats.rhythm]
      : `every beat with a pulse counted, ${patientWords[finding.finding]}`;
  const about = faults.length > 0 ? 'about ' : '';
  const rate = `${about}${Math.round(beats.ratePerMin)} beats per minute, ${rhythm}`;
  const line =
    verdict === 'cannot tell'
      ? 'whether the line is true cannot be told'
      : `the line looks ${verdictWords[verdict]} (${confidence})`;
  const unsure = faults.length === 0 ? '' : `, unsure (${faults.map(({ fault }) => fault).join(', ')})`;
  return `${over}${unsure}: ${about}${pressureWords(beats, patient)}, ${rate}; ${line}.`;
}
