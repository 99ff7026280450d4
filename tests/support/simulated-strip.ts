import {
  pointsPerBeat,
  pressuresOfBeat,
  referenceWaveform,
} from '../../src/domain/dynamic-response/reference-waveform.ts';
import type { PressureStrip } from '../../src/domain/strip/pressure-strip.ts';

/** A made-up strip: an animal's pulse through a second-order line onto a recorder. */
export interface SimulatedStripOptions {
  seed?: number;
  seconds?: number;
  samplesPerS?: number;
  ratePerMin?: number;
  sapMmHg?: number;
  dapMmHg?: number;
  /** The line; null for a perfect one. */
  line?: { naturalHz: number; damping: number } | null;
  /** Standard deviation of white noise, mmHg. */
  noiseMmHg?: number;
  /** Breathing: how often and by how much the whole pressure goes up and down with it, and the pulse by a share. */
  breathsPerMin?: number;
  breathMmHg?: number;
  breathPulseShare?: number;
  /** Standard deviation of a beat's length as a share of the usual one. */
  irregularity?: number;
  /** A fast flush: when it opens, how long it stays open, the pressure behind it, and how long the valve takes to shut. */
  flush?: { atS: number; lengthS: number; bagMmHg: number; shutsMs?: number } | null;
  /** The recorder shows nothing above or below these. */
  clipAboveMmHg?: number;
  clipBelowMmHg?: number;
}

/** A simulated strip with what is true of it. */
export interface SimulatedStrip {
  strip: PressureStrip;
  /** What a perfect reader reads off the shown wave without noise, away from the flush. */
  shown: { sapMmHg: number; dapMmHg: number; mapMmHg: number; ratePerMin: number; beats: number };
}

/** Even numbers from 0 to 1 that a seed repeats (mulberry32). */
export function chanceFrom(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4_294_967_296;
  };
}

/** Bell-shaped numbers with mean 0 and standard deviation 1 (Box and Muller). */
export function bellFrom(chance: () => number): () => number {
  return () => Math.sqrt(-2 * Math.log(1 - chance())) * Math.cos(2 * Math.PI * chance());
}

/** How far a valve is open, 0 to 1, so long after it was opened: it opens at once and shuts evenly. */
function openShare(sinceS: number, lengthS: number, shutsS: number): number {
  if (sinceS < 0 || sinceS >= lengthS + shutsS) return 0;
  return sinceS < lengthS ? 1 : 1 - (sinceS - lengthS) / shutsS;
}

/** Steps of the line for each sample: fine enough for 40 Hz. */
const innerHz = 8000;

/** Builds a strip from the project's reference wave; see the options for defaults. */
export function simulatedStrip(options: SimulatedStripOptions = {}): SimulatedStrip {
  const {
    seed = 1,
    seconds = 30,
    samplesPerS = 250,
    ratePerMin = 120,
    sapMmHg = 120,
    dapMmHg = 75,
    line = { naturalHz: 24, damping: 0.6 },
    noiseMmHg = 0.3,
    breathsPerMin = 18,
    breathMmHg = 1.5,
    breathPulseShare = 0.04,
    irregularity = 0.01,
    flush = null,
    clipAboveMmHg = Number.POSITIVE_INFINITY,
    clipBelowMmHg = Number.NEGATIVE_INFINITY,
  } = options;
  const chance = chanceFrom(seed);
  const bell = bellFrom(chance);
  const unit = pressuresOfBeat(referenceWaveform(1, 0));
  const unitAt = (phase: number) => {
    const place = phase * pointsPerBeat;
    const below = Math.floor(place);
    const share = place - below;
    return (
      (unit[below % pointsPerBeat] ?? 0) * (1 - share) + (unit[(below + 1) % pointsPerBeat] ?? 0) * share
    );
  };
  // Starts a little before 0 so that the line has settled.
  const settleS = 2;
  const starts: number[] = [-settleS];
  const usualS = 60 / ratePerMin;
  while ((starts.at(-1) ?? 0) < seconds + usualS * 2) {
    const lengthS = Math.max(0.4 * usualS, usualS * (1 + irregularity * bell()));
    starts.push((starts.at(-1) ?? 0) + lengthS);
  }
  const per = Math.max(1, Math.round(innerHz / samplesPerS));
  const dt = 1 / (samplesPerS * per);
  const count = Math.round(seconds * samplesPerS);
  const pressuresMmHg = new Float64Array(count);
  const clean = new Float64Array(count);
  let beat = 0;
  let [y, v] = [dapMmHg, 0];
  const from = -Math.round(settleS / dt);
  for (let k = from; k < count * per; k += 1) {
    const t = k * dt;
    while ((starts[beat + 1] ?? Number.POSITIVE_INFINITY) <= t) beat += 1;
    const start = starts[beat] ?? 0;
    const lengthS = (starts[beat + 1] ?? start + usualS) - start;
    const breath = Math.sin((2 * Math.PI * breathsPerMin * t) / 60);
    // A long beat runs off further, as a real one does: the systole keeps its length.
    const pulse = (sapMmHg - dapMmHg) * (1 + breathPulseShare * breath);
    const pressure = dapMmHg + pulse * unitAt((t - start) / lengthS) + breathMmHg * breath;
    const open = flush === null ? 0 : openShare(t - flush.atS, flush.lengthS, (flush.shutsMs ?? 0) / 1000);
    const true_ = flush === null ? pressure : pressure + open * (flush.bagMmHg - pressure);
    if (line === null) y = true_;
    else {
      const w = 2 * Math.PI * line.naturalHz;
      // Semi-implicit Euler at 8 kHz: its error stays below the noise of any recorder.
      v += dt * (w * w * (true_ - y) - 2 * line.damping * w * v);
      y += dt * v;
    }
    if (k >= 0 && k % per === 0) {
      const i = k / per;
      clean[i] = y;
      pressuresMmHg[i] = Math.min(clipAboveMmHg, Math.max(clipBelowMmHg, y + noiseMmHg * bell()));
    }
  }
  const strip: PressureStrip = {
    samplesPerS,
    pressuresMmHg,
    channel: 'ABP',
    startsAtS: 0,
    fileS: seconds,
    notes: [],
  };
  // Whole beats away from the flush and the ends, read off the clean wave.
  let [saps, daps, area, areaS, beats] = [0, 0, 0, 0, 0];
  for (let b = 0; b + 1 < starts.length; b += 1) {
    const [startS, endS] = [starts[b] ?? 0, starts[b + 1] ?? 0];
    if (startS < 0 || endS > seconds) continue;
    // The low before a beat must lie clear of the ringing, too.
    const clearS = startS - 0.8 * (endS - startS);
    if (flush && clearS < flush.atS + flush.lengthS + 1.2 && endS > flush.atS) continue;
    const slice = clean.subarray(Math.round(startS * samplesPerS), Math.round(endS * samplesPerS));
    saps += Math.max(...slice);
    // The diastolic is the lowest between the peak before and this one.
    const startAt = Math.round(startS * samplesPerS);
    const part = (share: number) => Math.round((endS - startS) * share * samplesPerS);
    daps += Math.min(...clean.subarray(Math.max(0, startAt - part(0.7)), startAt + part(0.2)));
    area += slice.reduce((sum, p) => sum + p, 0) / samplesPerS;
    areaS += slice.length / samplesPerS;
    beats += 1;
  }
  return {
    strip,
    shown: {
      sapMmHg: saps / beats,
      dapMmHg: daps / beats,
      mapMmHg: area / areaS,
      ratePerMin: (60 * beats) / areaS,
      beats,
    },
  };
}
