import { boxSmoothed } from './smoothing.ts';

/** Mains of 50 Hz (most of the world) and 60 Hz; off by less than this, Hz. */
const mains = { hz: [50, 60], offHz: 0.2 } as const;
/** Below this, seen through the sampling, a hum could be the pulse's own, Hz. */
const lowestSeenHz = 20;
/** A hum stands out from what lies beside it so many times, and is this tall at least, mmHg. */
const standsOut = { times: 4, mmHg: 0.3, besideHz: [0.7, 1, 1.4] } as const;
/** Its height may change within about this, s. */
const changesS = 2;

/** A wave under a window that fades in and out, and the sum of the window. */
function faded(wave: Float64Array): { wave: Float64Array; weight: number } {
  const { length } = wave;
  const out = new Float64Array(length);
  let weight = 0;
  for (let i = 0; i < length; i += 1) {
    const w = 1 - Math.cos((2 * Math.PI * i) / length);
    out[i] = w * (wave[i] ?? 0);
    weight += w;
  }
  return { wave: out, weight };
}

/** Height of a sine of a frequency within a wave that was faded, mmHg (Goertzel, Am Math Mon 1958;65:34-35). */
function heightAt({ wave, weight }: ReturnType<typeof faded>, samplesPerS: number, hz: number): number {
  const step = (2 * Math.PI * hz) / samplesPerS;
  const twice = 2 * Math.cos(step);
  let last = 0;
  let before = 0;
  for (let i = 0; i < wave.length; i += 1) {
    const next = (wave[i] ?? 0) + twice * last - before;
    before = last;
    last = next;
  }
  return (2 * Math.sqrt(Math.max(0, last * last + before * before - twice * last * before))) / weight;
}

/** Less the course of each value's neighbours: what is left is quick. */
function quickPart(wave: Float64Array): Float64Array {
  const out = new Float64Array(wave.length);
  for (let i = 1; i + 1 < wave.length; i += 1)
    out[i] = (wave[i] ?? 0) - ((wave[i - 1] ?? 0) + (wave[i + 1] ?? 0)) / 2;
  // At an end the value stands for its missing neighbour.
  const n = wave.length - 1;
  out[0] = ((wave[0] ?? 0) - (wave[1] ?? 0)) / 2;
  out[n] = ((wave[n] ?? 0) - (wave[n - 1] ?? 0)) / 2;
  return out;
}

function without(wave: Float64Array, samplesPerS: number, hz: number): Float64Array {
  const step = (2 * Math.PI * hz) / samplesPerS;
  const width = changesS * samplesPerS;
  const slow = (of: (i: number) => number) =>
    boxSmoothed(
      boxSmoothed(
        wave.map((p, i) => p * of(i)),
        width,
      ),
      width,
    );
  const [re, im] = [slow((i) => Math.cos(step * i)), slow((i) => Math.sin(step * i))];
  // At half the sampling rate both halves of the spectrum are one.
  const isHalf = Math.abs(hz - samplesPerS / 2) < mains.offHz;
  return wave.map((p, i) => {
    const own = (re[i] ?? 0) * Math.cos(step * i) + (im[i] ?? 0) * Math.sin(step * i);
    return p - (isHalf ? own : 2 * own);
  });
}

/**
 * The trace without mains hum, where one stands out: the sine at 50 or 60 Hz, as the sampling shows it, whose height and phase
 * change slowly. Without a hum the trace is given back as it is.
 */
export function withoutHum(pressures: Float64Array, samplesPerS: number): Float64Array {
  let wave = pressures;
  for (const mainsHz of mains.hz) {
    const seenHz = Math.abs(mainsHz - Math.round(mainsHz / samplesPerS) * samplesPerS);
    if (seenHz < lowestSeenHz || wave.length < 2 * samplesPerS) continue;
    const quick = faded(quickPart(wave));
    // What the quick part makes of a sine of this frequency.
    const gain = 1 - Math.cos((2 * Math.PI * seenHz) / samplesPerS);
    const height = heightAt(quick, samplesPerS, seenHz) / gain;
    const beside = standsOut.besideHz
      .flatMap((by) => [seenHz - by, seenHz + by])
      .filter((hz) => hz < samplesPerS / 2)
      .map((hz) => heightAt(quick, samplesPerS, hz) / gain);
    const isHum = height > standsOut.mmHg && height > standsOut.times * Math.max(...beside);
    if (isHum) wave = without(wave, samplesPerS, seenHz);
  }
  return wave;
}
