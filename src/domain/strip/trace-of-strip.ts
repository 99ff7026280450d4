import { type CutOffs, cutOffs } from './cut-offs.ts';
import { type Excursion, findExcursions, joined } from './excursions.ts';
import type { LeftOut } from './find-beats.ts';
import { type FoundFlush, findFlushes } from './find-flush.ts';
import { gaps, heldAbove, without } from './left-out.ts';
import { withoutHum } from './mains-hum.ts';
import type { PressureStrip } from './pressure-strip.ts';
import { filled, noiseOf } from './smoothing.ts';

/** A trace with what is left out of it. */
export interface Trace {
  pressures: Float64Array;
  samplesPerS: number;
  cut: CutOffs;
  flushes: FoundFlush[];
  excursions: Excursion[];
  out: LeftOut[];
  quiet: Float64Array;
  noiseMmHg: number;
}

/** The trace of a strip: gaps drawn through, hum taken off, and what is not to be read found. */
export function traceOf(strip: PressureStrip): Trace {
  const { samplesPerS } = strip;
  const shown = filled(strip.pressuresMmHg);
  const missing = gaps(strip.pressuresMmHg, samplesPerS);
  const cut = cutOffs(shown);
  // The recorder cuts off after hum came in. What looks like hum in a trace that's cut off is its own corners.
  const isCut = cut.aboveMmHg !== null || cut.belowMmHg !== null;
  const pressures = isCut ? shown : withoutHum(shown, samplesPerS);
  const held = heldAbove(pressures, samplesPerS, cut.aboveMmHg);
  const excursions = joined<Excursion>([
    ...findExcursions(pressures, samplesPerS),
    ...held.map((one) => ({ ...one, kind: 'above' as const })),
  ]);
  const flushes = findFlushes(pressures, samplesPerS, excursions);
  const out = joined<LeftOut>([
    ...missing,
    ...excursions,
    ...flushes.map(({ restFrom, restTo }) => ({ from: restFrom, to: restTo })),
  ]);
  const quiet = without(pressures, out);
  return { pressures, samplesPerS, cut, flushes, excursions, out, quiet, noiseMmHg: noiseOf(quiet) };
}
