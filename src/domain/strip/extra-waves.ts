/** Waves beside the beats that a set of longer beats has. */
export interface ExtraWaves {
  /** How many for each longer beat. */
  perBeat: number;
  /** Their usual, and their small, rise by that of the beats. */
  ratio: number;
  leastRatio: number;
  /** How long after a beat they come, s. */
  delayS: number;
  /** How far above the beat's foot they begin, by the beat's rise: a dicrotic wave begins high, a swing of the line low. */
  trough: number;
  longerS: number;
  /** The rate if they are beats. */
  shorterPerMin: number;
  /** How much more the trace is like itself a shorter beat later than a longer one. */
  gain: () => number;
}

/** Lines ring at this and above, /min (5 Hz; published ones at 7 to 38 Hz); below it only a line with much air does. */
const slowestRingingPerMin = 300;

/**
 * A wave that comes this soon after the beat, s, and begins this low, can be the line's swing: it falls below what the
 * pulse alone would, and the next swing comes one ringing (up to 0.2 s) later. Beats that come early begin higher (measured
 * on made strips: swings up to 0.26, early beats from 0.25 on).
 */
const swing = { latestS: 0.23, trough: 0.33 } as const;

/** Dicrotic waves reach so much of the upstroke where the heart is slow (measured on made strips: up to 0.45). */
const tallestDicrotic = 0.5;

/** It peaks this soon after the stroke's own peak, s and by the beat (measured: up to 0.46); strokes of alternans are half a beat apart. */
const latestDicrotic = { s: 0.47, ofBeat: 0.48 } as const;

/** Whether waves beside the beats are beats themselves. */
export function weighedExtra(waves: ExtraWaves): 'beats' | 'no beats' | 'cannot tell' {
  const { perBeat, ratio, delayS, trough, longerS } = waves;
  if (perBeat > 1.5) return weighedMany(waves);
  if (ratio < 0.27) return 'no beats';
  const couldSwing = delayS < swing.latestS && trough < swing.trough;
  // Now and then a weak early beat; a dicrotic wave or ringing would be there each time.
  if (perBeat < 0.35) {
    if (delayS < 0.45 * longerS) return ratio < 0.5 ? 'no beats' : 'cannot tell';
    return ratio < 0.36 || (couldSwing && ratio < 0.8) ? 'cannot tell' : 'beats';
  }
  const isEarly = longerS > 0.6 && delayS < Math.min(latestDicrotic.s, latestDicrotic.ofBeat * longerS);
  if (ratio < 0.36) return isEarly && delayS < 0.38 ? 'no beats' : 'cannot tell';
  if (couldSwing && ratio < 0.85) return 'cannot tell';
  const couldBeDicrotic = ratio < tallestDicrotic || (ratio < 0.62 && trough < swing.trough);
  return isEarly && couldBeDicrotic ? 'cannot tell' : 'beats';
}

/** More than one wave beside each beat: ringing dies down from swing to swing; beats do not. */
function weighedMany({
  ratio,
  leastRatio,
  shorterPerMin,
  gain,
}: ExtraWaves): 'beats' | 'no beats' | 'cannot tell' {
  const couldRing = shorterPerMin > slowestRingingPerMin;
  if (ratio > 0.7 && (gain() > -0.08 || (!couldRing && leastRatio > 0.55))) return 'beats';
  if (!couldRing && ratio > 0.5 && leastRatio > 0.4) return 'cannot tell';
  return ratio > 0.5 && gain() > 0.05 ? 'cannot tell' : 'no beats';
}
