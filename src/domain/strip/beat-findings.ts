import type { Beat } from './find-beats.ts';
import { mean, quantile, standardDeviation } from './smoothing.ts';

/** How even the beats are. */
export type Rhythm = 'regular' | 'slightly irregular' | 'irregular';

/** Pressures and rate over all beats that were read. */
export interface BeatFindings {
  count: number;
  /** Means over the beats, mmHg; the mean pressure is the average over time of whole beats. */
  sapMmHg: number;
  dapMmHg: number;
  mapMmHg: number;
  ratePerMin: number;
  rhythm: Rhythm;
  /** Standard deviation of the intervals between beats as a share of their mean. */
  intervalVariation: number;
  pulseMmHg: number;
  /** Pulse pressure of small and of tall beats (5th and 95th percentile), mmHg: described, not interpreted. */
  pulseFromMmHg: number;
  pulseToMmHg: number;
  /** Systolic and diastolic of most beats (5th and 95th percentile), mmHg. */
  sapRangeMmHg: { from: number; to: number };
  dapRangeMmHg: { from: number; to: number };
}

function rhythmOf(variation: number): Rhythm {
  if (variation < 0.06) return 'regular';
  return variation < 0.15 ? 'slightly irregular' : 'irregular';
}

const rangeOf = (values: readonly number[]) => ({ from: quantile(values, 0.05), to: quantile(values, 0.95) });

/** What the beats come to; null of fewer than 3. */
export function beatFindings(beats: readonly Beat[], intervalsS: readonly number[]): BeatFindings | null {
  if (beats.length < 3 || intervalsS.length < 2) return null;
  const pulses = beats.map(({ sapMmHg, dapMmHg }) => sapMmHg - dapMmHg);
  const lengths = beats.map(({ footAt, endsAt }) => endsAt - footAt);
  const whole = lengths.reduce((sum, length) => sum + length, 0);
  const variation = standardDeviation(intervalsS) / mean(intervalsS);
  return {
    count: beats.length,
    sapMmHg: mean(beats.map(({ sapMmHg }) => sapMmHg)),
    dapMmHg: mean(beats.map(({ dapMmHg }) => dapMmHg)),
    mapMmHg: beats.reduce((sum, { mapMmHg }, i) => sum + mapMmHg * (lengths[i] ?? 0), 0) / whole,
    ratePerMin: 60 / mean(intervalsS),
    rhythm: rhythmOf(variation),
    intervalVariation: variation,
    pulseMmHg: mean(pulses),
    pulseFromMmHg: quantile(pulses, 0.05),
    pulseToMmHg: quantile(pulses, 0.95),
    sapRangeMmHg: rangeOf(beats.map(({ sapMmHg }) => sapMmHg)),
    dapRangeMmHg: rangeOf(beats.map(({ dapMmHg }) => dapMmHg)),
  };
}
