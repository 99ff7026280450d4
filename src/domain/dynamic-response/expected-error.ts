import { amplitudeResponse, phaseLagRad } from './amplitude-response.ts';
import { type MeasuredTest, plausibleRingingHz } from './measured-test.ts';
import { naturalFrequencyHz } from './natural-frequency.ts';
import { type PulseWave, pressuresOfBeat, referenceWaveform } from './reference-waveform.ts';

/** A line as a second-order system: undamped natural frequency, Hz, and damping coefficient, both above 0. */
export interface LineSystem {
  naturalHz: number;
  damping: number;
}

/** Systolic and diastolic, mmHg. */
export interface SystolicDiastolic {
  sapMmHg: number;
  dapMmHg: number;
}

/** By how much the monitor reads too high (above 0) or too low, mmHg; the mean is the true one, averaged over time. */
export interface PressureError {
  sapMmHg: number;
  dapMmHg: number;
  mapMmHg: number;
}

/** A beat as the line shows it: each harmonic grown or shrunk, and late, by the second-order system. */
export function shownWave(
  wave: PulseWave,
  { naturalHz, damping }: LineSystem,
  heartRatePerMin: number,
): PulseWave {
  if (!(naturalHz > 0) || !(heartRatePerMin > 0)) {
    throw new RangeError(
      `Natural frequency ${naturalHz} Hz and heart rate ${heartRatePerMin} /min must be above 0; check them at the door.`,
    );
  }
  return {
    meanMmHg: wave.meanMmHg,
    harmonics: wave.harmonics.map(({ cosMmHg, sinMmHg }, index) => {
      const relative = ((index + 1) * heartRatePerMin) / 60 / naturalHz;
      const size = amplitudeResponse(relative, damping);
      const lag = phaseLagRad(relative, damping);
      return {
        cosMmHg: size * (cosMmHg * Math.cos(lag) - sinMmHg * Math.sin(lag)),
        sinMmHg: size * (cosMmHg * Math.sin(lag) + sinMmHg * Math.cos(lag)),
      };
    }),
  };
}

const unitWave = referenceWaveform(1, 0);

/** Highest, lowest and average of a beat. */
function extremes(wave: PulseWave): PressureError {
  const pressures = pressuresOfBeat(wave);
  let [highest, lowest, sum] = [Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY, 0];
  for (const pressure of pressures) {
    if (pressure > highest) highest = pressure;
    if (pressure < lowest) lowest = pressure;
    sum += pressure;
  }
  return { sapMmHg: highest, dapMmHg: lowest, mapMmHg: sum / pressures.length };
}

const unitExtremes = extremes(unitWave);

/** Errors as shares of the true pulse pressure: the system is linear, so they do not hang on the pressures themselves. */
function errorShares(system: LineSystem, heartRatePerMin: number): PressureError {
  const shown = extremes(shownWave(unitWave, system, heartRatePerMin));
  return {
    sapMmHg: shown.sapMmHg - unitExtremes.sapMmHg,
    dapMmHg: shown.dapMmHg - unitExtremes.dapMmHg,
    mapMmHg: shown.mapMmHg - unitExtremes.mapMmHg,
  };
}

const scaled = (shares: PressureError, pulseMmHg: number): PressureError => ({
  sapMmHg: shares.sapMmHg * pulseMmHg,
  dapMmHg: shares.dapMmHg * pulseMmHg,
  mapMmHg: shares.mapMmHg * pulseMmHg,
});

/**
 * What a line adds to or takes from pressures that are **truly** so, mmHg: 12 harmonics of the reference wave at this heart
 * rate through the second-order system. Example: a line of 14.8 Hz with damping 0.11 at 60 /min shows a true 120 over 80 as
 * about 121 over 80.
 */
export function errorOnTrue(
  system: LineSystem,
  heartRatePerMin: number,
  { sapMmHg, dapMmHg }: SystolicDiastolic,
): PressureError {
  return scaled(errorShares(system, heartRatePerMin), sapMmHg - dapMmHg);
}

/**
 * What a line adds to or takes from the pressures the monitor **shows**, mmHg: the true pulse pressure is reckoned back
 * first, since what is shown is stretched or squeezed already. `sapMmHg` must lie above `dapMmHg`, all numbers above 0;
 * otherwise a RangeError. Take it off what is shown to have what is likely true.
 *
 * An estimate: a reference wave, not this animal's (see `referenceWaveform`). Direction as in Gardner RM, Anesthesiology
 * 1981;54:227-236: underdamped reads the systolic too high, overdamped too low, the diastolic is more tolerant and the
 * mean hardly changes.
 */
export function expectedError(
  system: LineSystem,
  heartRatePerMin: number,
  { sapMmHg, dapMmHg }: SystolicDiastolic,
): PressureError {
  const shownPulse = sapMmHg - dapMmHg;
  if (!(shownPulse > 0)) {
    throw new RangeError(
      `Systolic ${sapMmHg} mmHg must lie above diastolic ${dapMmHg} mmHg; check at the door.`,
    );
  }
  const shares = errorShares(system, heartRatePerMin);
  return scaled(shares, shownPulse / (1 + shares.sapMmHg - shares.dapMmHg));
}

/** The expected error with the least and the most that the reading error of the test can make of it. */
export interface ExpectedErrorRange {
  value: PressureError;
  low: PressureError;
  high: PressureError;
}

/** A ringing line cannot be damped as much as 1 nor not at all; the open ends of an interval are cut here. */
const dampingEnds = { least: 0.02, most: 0.95 } as const;
const stepsAcross = 8;

function eachBy(pick: (...mmHg: number[]) => number, errors: readonly PressureError[]): PressureError {
  return {
    sapMmHg: pick(...errors.map(({ sapMmHg }) => sapMmHg)),
    dapMmHg: pick(...errors.map(({ dapMmHg }) => dapMmHg)),
    mapMmHg: pick(...errors.map(({ mapMmHg }) => mapMmHg)),
  };
}

/** Evenly spaced values from `low` to `high`, both ends among them. */
function across(low: number, high: number): number[] {
  return Array.from({ length: stepsAcross + 1 }, (_, i) => low + ((high - low) * i) / stepsAcross);
}

/**
 * `expectedError` for a test measured by hand, with the interval that its reading error makes, looked for on a grid of 9
 * ringing frequencies by 9 dampings between their ends: resonance makes the error rise and fall, so the corners alone
 * would not bound it. Null where no whole cycle was seen, so that no natural frequency is known.
 */
export function expectedErrorOfTest(
  { damping, ringingHz, naturalHz }: Extract<MeasuredTest, { result: 'measured' }>,
  heartRatePerMin: number,
  shown: SystolicDiastolic,
): ExpectedErrorRange | null {
  if (ringingHz === null || naturalHz === null) return null;
  const { least, most } = dampingEnds;
  const withinEnds = (coefficient: number) => Math.min(most, Math.max(least, coefficient));
  const errorOf = (system: LineSystem) => expectedError(system, heartRatePerMin, shown);
  const value = errorOf({ naturalHz: naturalHz.value, damping: Math.max(least, damping.value) });
  const all = [value];
  for (const ringing of across(ringingHz.low, ringingHz.high ?? plausibleRingingHz.highest)) {
    for (const coefficient of across(withinEnds(damping.low), withinEnds(damping.high))) {
      all.push(errorOf({ naturalHz: naturalFrequencyHz(ringing, coefficient), damping: coefficient }));
    }
  }
  return { value, low: eachBy(Math.min, all), high: eachBy(Math.max, all) };
}
