/** One harmonic of a beat: `cosMmHg × cos(2πnφ) + sinMmHg × sin(2πnφ)`, φ the phase of the beat from 0 to 1. */
export interface Harmonic {
  cosMmHg: number;
  sinMmHg: number;
}

/** One beat of pressure as a Fourier series: its true mean (the average over time) and its harmonics 1, 2, 3 … in order. */
export interface PulseWave {
  meanMmHg: number;
  harmonics: readonly Harmonic[];
}

/** Harmonics kept. The first 10 hold more than 99 % of a pressure wave (teaching notes, no primary source). */
export const harmonicCount = 12;

/** Points of a beat at which pressures are looked up. */
export const pointsPerBeat = 360;

/**
 * The four swells that make the shape, each a bell curve in the phase of the beat: height, centre, width (all in parts of
 * one). Own construction, not a published table: no table of coefficients of a peripheral pressure wave was found. The
 * swells stand for the upstroke, the shoulder after it, the wave after the notch and the run-off. They were chosen so that
 * the wave peaks a fifth into the beat, has its notch at 0.44 of it, its mean 0.37 of the pulse pressure above the
 * diastolic, and harmonics that fall off as 1, 0.66, 0.41, 0.19, 0.16, 0.10 (from memory, common for peripheral arteries).
 */
const swells = [
  { height: 1, centre: 0.18, width: 0.053 },
  { height: 0.64, centre: 0.3, width: 0.08 },
  { height: 0.18, centre: 0.52, width: 0.076 },
  { height: 0.43, centre: 0.6, width: 0.172 },
] as const;

/** A bell curve repeated with each beat has a closed Fourier series: its harmonics fall off as a bell curve themselves. */
function rawHarmonic(n: number): Harmonic {
  let [cosMmHg, sinMmHg] = [0, 0];
  for (const { height, centre, width } of swells) {
    const size = 2 * height * width * Math.sqrt(2 * Math.PI) * Math.exp(-2 * (Math.PI * n * width) ** 2);
    cosMmHg += size * Math.cos(2 * Math.PI * n * centre);
    sinMmHg += size * Math.sin(2 * Math.PI * n * centre);
  }
  return { cosMmHg, sinMmHg };
}

const cosines = Float64Array.from({ length: pointsPerBeat }, (_, i) =>
  Math.cos((2 * Math.PI * i) / pointsPerBeat),
);
const sines = Float64Array.from({ length: pointsPerBeat }, (_, i) =>
  Math.sin((2 * Math.PI * i) / pointsPerBeat),
);

/** The pressures of a beat, mmHg, at `pointsPerBeat` evenly spaced phases from 0. */
export function pressuresOfBeat({ meanMmHg, harmonics }: PulseWave): Float64Array {
  const pressures = new Float64Array(pointsPerBeat).fill(meanMmHg);
  for (const [index, { cosMmHg, sinMmHg }] of harmonics.entries()) {
    for (let i = 0; i < pointsPerBeat; i += 1) {
      const at = ((index + 1) * i) % pointsPerBeat;
      pressures[i] = (pressures[i] ?? 0) + cosMmHg * (cosines[at] ?? 0) + sinMmHg * (sines[at] ?? 0);
    }
  }
  return pressures;
}

/** The reference beat from 0 (diastolic) to 1 (systolic). */
const unitWave: PulseWave = (() => {
  const raw = { meanMmHg: 0, harmonics: Array.from({ length: harmonicCount }, (_, i) => rawHarmonic(i + 1)) };
  const pressures = pressuresOfBeat(raw);
  const lowest = Math.min(...pressures);
  const pulse = Math.max(...pressures) - lowest;
  return {
    meanMmHg: -lowest / pulse,
    harmonics: raw.harmonics.map(({ cosMmHg, sinMmHg }) => ({
      cosMmHg: cosMmHg / pulse,
      sinMmHg: sinMmHg / pulse,
    })),
  };
})();

/**
 * One beat of a reference arterial wave with its highest point at `sapMmHg` and its lowest at `dapMmHg`, mmHg; the
 * systolic must lie above the diastolic (otherwise a RangeError). Own construction (see `swells`): good for telling what a
 * line does to a pulse, not what a pulse of this animal looks like. The shape is kept the same at every heart rate; a real
 * wave grows rounder when fast, so at fast rates what is reckoned with it is rather too much than too little.
 *
 * Example: 120 over 80 has a mean of 94.6 mmHg, 0.37 of the pulse pressure above the diastolic (1,526 people: 0.42, from
 * 0.23 to 0.58, PMID 32694334).
 */
export function referenceWaveform(sapMmHg: number, dapMmHg: number): PulseWave {
  const pulseMmHg = sapMmHg - dapMmHg;
  if (!(pulseMmHg > 0)) {
    throw new RangeError(
      `Systolic ${sapMmHg} mmHg must lie above diastolic ${dapMmHg} mmHg; check at the door.`,
    );
  }
  return {
    meanMmHg: dapMmHg + pulseMmHg * unitWave.meanMmHg,
    harmonics: unitWave.harmonics.map(({ cosMmHg, sinMmHg }) => ({
      cosMmHg: pulseMmHg * cosMmHg,
      sinMmHg: pulseMmHg * sinMmHg,
    })),
  };
}
