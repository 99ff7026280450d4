import type { PatientFinding } from './patient-findings.ts';
import type { RowCheck } from './row-check.ts';

/** The rest of the strip, as far as it makes its beats doubtful. */
export interface AroundBeats {
  noiseMmHg: number;
  lengthS: number;
  /** By how much systolic or diastolic moved when noise was averaged out, mmHg. */
  averagedByMmHg: number;
  /** Share of the strip that was left out. */
  leftOut: number;
  /** Share that was left out beside fast flushes. */
  leftOutBesideFlushes: number;
  driftMmHgPerS: number;
  patient: readonly PatientFinding[];
  /** How well a row of strokes at the beats accounts for the trace; null of too few beats. */
  row: RowCheck | null;
  /** The level moves and does not come back, so which one is right is not known. */
  endsOffLevel: boolean;
  /** Strokes between the beats that made no whole beat of their own. */
  lostBeats: number;
  /** Whether beats at another level were left out. */
  movesLevel: boolean;
  /** By how much the level goes up and down beside its drift and what was left out, mmHg. */
  levelRangeMmHg: number;
}
