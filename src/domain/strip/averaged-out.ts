import type { BeatFindings } from './beat-findings.ts';
import type { Beat } from './find-beats.ts';
import { parabolaSmoothed, quantile } from './smoothing.ts';

/**
 * Noise makes each beat’s highest sample too high and its lowest too low. From this noise on (share of the pulse), and so many
 * even beats, the pressures are read off the mean of all beats instead, where noise averages out (measured on made strips).
 */
const from = { noiseShare: 0.03, beats: 8, unevenBelow: 0.06 } as const;
/** Where a beat's peak and its lowest pressure since the peak before lie around the upstroke, in beats: a line can swing lowest soon after that peak. */
const around = { before: 0.8, after: 0.6 } as const;

/** The mean of all beats, laid over each other where their upstrokes are half way. */
export function meanBeat(
  pressures: Float64Array,
  beats: readonly Beat[],
  before: number,
  length: number,
): Float64Array | null {
  const sum = new Float64Array(length);
  let count = 0;
  for (const { halfUpAt } of beats) {
    const at = Math.floor(halfUpAt) - before;
    const share = halfUpAt - Math.floor(halfUpAt);
    if (at < 0 || at + length >= pressures.length) continue;
    count += 1;
    for (let k = 0; k < length; k += 1)
      sum[k] = (sum[k] ?? 0) + (1 - share) * (pressures[at + k] ?? 0) + share * (pressures[at + k + 1] ?? 0);
  }
  return count < from.beats ? null : sum.map((s) => s / count);
}

/** The findings with systolic and diastolic as they are without noise; unchanged where there is little, or beats are uneven. */
export function averagedOut(
  findings: BeatFindings,
  pressures: Float64Array,
  samplesPerS: number,
  { beats, noiseMmHg }: { beats: readonly Beat[]; noiseMmHg: number },
): BeatFindings {
  const { pulseMmHg, intervalVariation, count } = findings;
  if (noiseMmHg < from.noiseShare * pulseMmHg || intervalVariation > from.unevenBelow || count < from.beats)
    return findings;
  const lengthAt = quantile(
    beats.map(({ footAt, endsAt }) => endsAt - footAt),
    0.5,
  );
  const [before, after] = [Math.round(around.before * lengthAt), Math.round(around.after * lengthAt)];
  const sum = meanBeat(pressures, beats, before, before + after);
  if (sum === null) return findings;
  const smooth = parabolaSmoothed(sum, Math.min(0.025 * samplesPerS, 0.1 * lengthAt));
  const sapMmHg = Math.min(findings.sapMmHg, Math.max(...smooth.subarray(before)));
  const dapMmHg = Math.max(findings.dapMmHg, Math.min(...smooth.subarray(0, before)));
  const [up, down] = [sapMmHg - findings.sapMmHg, dapMmHg - findings.dapMmHg];
  const moved = ({ from: low, to }: { from: number; to: number }, by: number) => ({
    from: low + by,
    to: to + by,
  });
  return {
    ...findings,
    sapMmHg,
    dapMmHg,
    pulseMmHg: pulseMmHg + up - down,
    pulseFromMmHg: findings.pulseFromMmHg + up - down,
    pulseToMmHg: findings.pulseToMmHg + up - down,
    sapRangeMmHg: moved(findings.sapRangeMmHg, up),
    dapRangeMmHg: moved(findings.dapRangeMmHg, down),
  };
}
