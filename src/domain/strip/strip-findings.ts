import { expectedError, type PressureError } from '../dynamic-response/expected-error.ts';
import {
  defaultFlushTestRegions,
  type FlushTestRegions,
  type RegionVerdict,
  regionOf,
  regionsWithin,
  wantedHz,
} from '../dynamic-response/regions.ts';
import { verdictOfRegion } from '../dynamic-response/verdict-of-test.ts';
import type { testVerdicts } from '../record/entry.ts';
import { averageBeat } from './average-beat.ts';
import { type DicroticNotch, dicroticNotch } from './dicrotic-notch.ts';
import { type Beat, findBeats, type LeftOut, readableRate } from './find-beats.ts';
import { type FoundFlush, findFlushes } from './find-flush.ts';
import { type MeasuredFlush, measureFlush } from './measure-flush.ts';
import type { PressureStrip } from './pressure-strip.ts';
import { filled, mean, noiseOf, quantile, standardDeviation } from './smoothing.ts';
import { cutOffs, type TraceFault, traceFaults } from './trace-faults.ts';

/** What the line does to the trace. */
export const stripVerdicts = ['normal', 'flat (overdamped)', 'spiky (underdamped)', 'cannot tell'] as const;
export type StripVerdict = (typeof stripVerdicts)[number];

/** How sure a verdict is. */
export const confidences = ['fairly sure', 'unsure', 'no verdict'] as const;
export type Confidence = (typeof confidences)[number];

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
}

/** A fast flush with what it says of the line. */
export interface FlushFinding {
  /** s from the start of the strip that was read. */
  opensAtS: number;
  releasedAtS: number;
  plateauMmHg: number;
  test: MeasuredFlush;
  /** By the ward's limits; null where no frequency or damping was found. */
  region: RegionVerdict | null;
}

/** All that was read from a strip. */
export interface StripFindings {
  samplesPerS: number;
  lengthS: number;
  channel: string;
  notes: string[];
  faults: TraceFault[];
  beats: BeatFindings | null;
  notch: DicroticNotch;
  /** All flushes found, in order of time; the last one that could be measured gives the verdict. */
  flushes: FlushFinding[];
  verdict: StripVerdict;
  confidence: Confidence;
  /** Why the verdict, one sentence. */
  because: string;
  /** What the line likely adds to the shown pressures, mmHg; null where the line is not known. An estimate. */
  likelyErrorMmHg: PressureError | null;
  /** Noise on the trace, standard deviation, mmHg. */
  noiseMmHg: number;
}

/** Findings with the marks that a picture needs. */
export interface ReadStrip {
  findings: StripFindings;
  beats: Beat[];
  flushes: FoundFlush[];
}

function rhythmOf(variation: number): Rhythm {
  if (variation < 0.06) return 'regular';
  return variation < 0.15 ? 'slightly irregular' : 'irregular';
}

function beatFindings(beats: readonly Beat[], intervalsS: readonly number[]): BeatFindings | null {
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
  };
}

/** Stretches that the file did not hold and that are too long to draw through, 0.1 s. */
function gaps(pressures: Float64Array, samplesPerS: number): LeftOut[] {
  const found: LeftOut[] = [];
  let from = -1;
  for (let i = 0; i <= pressures.length; i += 1) {
    if (i < pressures.length && Number.isNaN(pressures[i])) {
      if (from < 0) from = i;
    } else if (from >= 0) {
      if (i - from > 0.1 * samplesPerS) found.push({ from, to: i });
      from = -1;
    }
  }
  return found;
}

/** No systole stays at the recorder's upper end for longer, s: there the pressure is a flush or a closed tap. */
const longestSystoleS = 0.4;

/** Stretches held at the level where the recorder cuts off above, with the time that a flush needs to die down. */
function heldAbove(pressures: Float64Array, samplesPerS: number, level: number | null): LeftOut[] {
  if (level === null) return [];
  const found: LeftOut[] = [];
  let from = -1;
  for (let i = 0; i <= pressures.length; i += 1) {
    if (i < pressures.length && pressures[i] === level) {
      if (from < 0) from = i;
    } else if (from >= 0) {
      if (i - from > longestSystoleS * samplesPerS) {
        const to = Math.min(pressures.length, i + Math.round(1.2 * samplesPerS));
        found.push({ from: Math.max(0, from - Math.round(0.15 * samplesPerS)), to });
      }
      from = -1;
    }
  }
  return found;
}

function without(pressures: Float64Array, out: readonly LeftOut[]): Float64Array {
  return pressures.filter((_, i) => !out.some(({ from, to }) => i >= from && i < to));
}

/** Faults that show only once beats were looked for. */
function beatFaults(
  beats: BeatFindings | null,
  likeness: readonly number[],
  { noiseMmHg, lengthS }: { noiseMmHg: number; lengthS: number },
): TraceFault[] {
  if (lengthS < 4) {
    return [
      {
        fault: 'too short',
        hides: beats === null ? 'beats' : 'nothing',
        says: `The strip is ${lengthS.toFixed(1)} s long; 10 s or more are needed to judge it, 30 to 60 s are best. Export a longer stretch.`,
      },
    ];
  }
  const noSteadyBeat: TraceFault = {
    fault: 'no steady beat',
    hides: 'beats',
    says: 'No steady pulse was found on the trace. Look at the animal first: feel a pulse; then export a stretch without movement.',
  };
  if (beats === null) return [noSteadyBeat];
  const alike = likeness.filter((one) => one > 0.75).length / likeness.length;
  // Waves of nothing: beats that look unlike each other, at no even distance.
  if (alike < 0.6 || (beats.intervalVariation > 0.35 && alike < 0.85)) return [noSteadyBeat];
  const { lowestPerMin, highestPerMin } = readableRate;
  // A little beyond what was measured is still told; far beyond is no pulse.
  if (beats.ratePerMin > 1.15 * highestPerMin || beats.ratePerMin < 0.85 * lowestPerMin)
    return [noSteadyBeat];
  if (noiseMmHg > 0.15 * beats.pulseMmHg) {
    return [
      {
        fault: 'too noisy',
        hides: 'nothing',
        says: `The trace is noisy (${noiseMmHg.toFixed(1)} mmHg against a pulse of ${Math.round(beats.pulseMmHg)} mmHg): systolic and diastolic are rough.`,
      },
    ];
  }
  return [];
}

/** A verdict with its reason. */
interface Judged {
  verdict: StripVerdict;
  confidence: Confidence;
  because: string;
}

const nothing = (because: string): Judged => ({ verdict: 'cannot tell', confidence: 'no verdict', because });

/** The verdicts of a test, in the words for a trace. */
const traceVerdicts = {
  normal: 'normal',
  underdamped: 'spiky (underdamped)',
  overdamped: 'flat (overdamped)',
  'cannot tell': 'cannot tell',
} as const satisfies Record<(typeof testVerdicts)[number], StripVerdict>;

function verdictOf(found: Pick<RegionVerdict, 'region' | 'damping'>): StripVerdict {
  return traceVerdicts[verdictOfRegion(found)];
}

const cannotMeasure: Readonly<
  Record<Extract<MeasuredFlush, { measured: 'cannot tell' }>['because'], string>
> = {
  clipped: 'the recorder cut the ringing off',
  'no beats to compare': 'there are no beats after it to compare with',
  'sampled too slowly': 'the line rings too quickly for so few samples',
  'does not die down': 'what follows it does not die down like ringing',
  'too near the end': 'the strip ends too soon after it',
};

/** A fall from 90 to 10 % within this is not slowed by a valve, ms (measured: a valve of 20 ms makes 16 ms or more). */
const quickFallMs = 15;

function judgeFlush(
  { test, region }: FlushFinding,
  notch: DicroticNotch,
  ratePerMin: number | null,
  regions: FlushTestRegions,
): Judged {
  switch (test.measured) {
    case 'cannot tell':
      return nothing(`A fast flush was found but could not be measured: ${cannotMeasure[test.because]}.`);
    case 'no ringing': {
      // A well damped line that falls from 90 to 10 % in f ms passes about 340 / f Hz (second-order system, damping 0.7).
      const reachesHz = 340 / test.fallMs;
      const wanted = wantedHz(regions, ratePerMin);
      const says = `After the flush it falls to the pulse in ${Math.round(test.fallMs)} ms and does not ring: damping about ${test.dampingAtLeast.toFixed(1)} or more.`;
      if (test.dampingAtLeast < 0.6) {
        return nothing(
          `After the flush no ringing stands out from the pulse; it could hide up to damping ${test.dampingAtLeast.toFixed(1)}.`,
        );
      }
      if (reachesHz >= wanted) {
        return {
          verdict: 'normal',
          confidence: 'unsure',
          because: `${says} That is quick enough for this heart rate.`,
        };
      }
      // A valve that shuts slowly falls as slowly; but a good line still shows the notch.
      const isSure = test.dampingAtLeast >= 0.65 && reachesHz < 0.7 * wanted && notch.notch === 'absent';
      return {
        verdict: 'flat (overdamped)',
        confidence: isSure ? 'fairly sure' : 'unsure',
        because: `${says} That is too slow for this heart rate.`,
      };
    }
    case 'ringing': {
      const { damping, naturalHz, ringingHz } = test;
      if (region === null) return nothing('The ringing could not be judged.');
      const open = regionsWithin(naturalHz, damping, ratePerMin, regions);
      const words = new Set(open.map((one) => verdictOf({ region: one, damping: region.damping })));
      const verdict = verdictOf(region);
      // One turn alone looks the same through a valve that shut slowly, unless the fall was too quick for that.
      const isCertain = test.dampingFrom === 'successive swings' || test.fallMs < quickFallMs;
      const because = `The line rings at ${ringingHz.toFixed(1)} Hz with damping ${damping.value.toFixed(2)} (${damping.low.toFixed(2)} to ${damping.high.toFixed(2)}). ${region.says}${isCertain ? '' : ' It shows by one turn only: a valve that shut slowly looks the same.'}`;
      if (verdict === 'cannot tell') return nothing(because);
      return { verdict, confidence: words.size === 1 && isCertain ? 'fairly sure' : 'unsure', because };
    }
  }
}

/** Without a flush the wave alone is not enough (Gardner 1981): only gross signs are named, never surely. */
function judgeWave(beats: BeatFindings, notch: DicroticNotch, upstrokeMs: number): Judged {
  if (notch.notch === 'cannot tell' && notch.because === 'ringing hides it') {
    return {
      verdict: 'spiky (underdamped)',
      confidence: 'unsure',
      because:
        'The beats ring after the systolic peak. There is no fast flush on the strip to measure it: do one and upload again.',
    };
  }
  const beatMs = 60_000 / beats.ratePerMin;
  if (notch.notch === 'absent' && upstrokeMs > 0.3 * beatMs && beats.pulseMmHg < 0.35 * beats.mapMmHg) {
    return {
      verdict: 'flat (overdamped)',
      confidence: 'unsure',
      because:
        'The beats are small and round without a notch. A true weak pulse looks the same: look at the animal, then do a fast flush and upload again.',
    };
  }
  return nothing(
    'There is no fast flush on the strip, and the wave alone does not tell. Do a fast flush and upload again.',
  );
}

/**
 * Reads a pressure strip: faults, beats, notch, fast flushes and what they say of the line. `regions` are the ward's limits
 * for the flush test. Nothing is taken for certain: "cannot tell" is a result.
 *
 * The verdict rests on the last fast flush that can be measured; without one only gross signs of the wave are named, since
 * a look at the wave alone is not enough (Gardner RM, Anesthesiology 1981;54:227-236).
 */
export function readStrip(
  strip: PressureStrip,
  regions: FlushTestRegions = defaultFlushTestRegions,
): ReadStrip {
  const { samplesPerS, channel, notes } = strip;
  const pressures = filled(strip.pressuresMmHg);
  const lengthS = pressures.length / samplesPerS;
  const missing = gaps(strip.pressuresMmHg, samplesPerS);
  const flushes = findFlushes(pressures, samplesPerS);
  const cut = cutOffs(pressures);
  const out = [
    ...missing,
    ...heldAbove(pressures, samplesPerS, cut.aboveMmHg),
    ...flushes.map(({ restFrom, restTo }) => ({ from: restFrom, to: restTo })),
  ].toSorted((a, b) => a.from - b.from);
  const quiet = without(pressures, out);
  const noiseMmHg = noiseOf(quiet);
  const faults = quiet.length < samplesPerS ? [] : traceFaults(quiet, samplesPerS);
  const isHidden = faults.some(({ hides }) => hides === 'beats');
  const found = isHidden ? { beats: [], intervalsS: [] } : findBeats(pressures, samplesPerS, out);
  const average = averageBeat(pressures, found.beats);
  const read = beatFindings(found.beats, found.intervalsS);
  if (!isHidden) faults.push(...beatFaults(read, average?.likeness ?? [], { noiseMmHg, lengthS }));
  const unread = faults.some(({ hides }) => hides === 'beats');
  const beats = unread ? null : read;
  const notch: DicroticNotch =
    beats === null
      ? { notch: 'cannot tell', because: 'too few beats' }
      : dicroticNotch(average, beats.count, noiseMmHg, samplesPerS);
  const around = {
    beats: unread ? [] : found.beats,
    average,
    regular: beats !== null && beats.intervalVariation < 0.12,
    pulseMmHg: beats?.pulseMmHg ?? 0,
    noiseMmHg,
    cutsOffAboveMmHg: cut.aboveMmHg,
    cutsOffBelowMmHg: cut.belowMmHg,
  };
  const ratePerMin = beats === null ? null : Math.round(beats.ratePerMin);
  const flushFindings = flushes.map((flush): FlushFinding => {
    const test = measureFlush(pressures, samplesPerS, flush, around);
    return {
      opensAtS: flush.opensAt / samplesPerS,
      releasedAtS: flush.releasedAt / samplesPerS,
      plateauMmHg: flush.plateauMmHg,
      test,
      region:
        test.measured === 'ringing'
          ? regionOf(
              { naturalHz: test.naturalHz.value, damping: Math.max(0.01, test.damping.value) },
              ratePerMin,
              regions,
            )
          : null,
    };
  });
  const measured =
    flushFindings.findLast(({ test }) => test.measured !== 'cannot tell') ?? flushFindings.at(-1);
  const judged = ((): Judged => {
    if (unread) return nothing(faults.find(({ hides }) => hides === 'beats')?.says ?? '');
    if (faults.some(({ fault }) => fault === 'wrong units' || fault === 'negative')) {
      return nothing('The numbers themselves look wrong, so the line is not judged.');
    }
    if (measured !== undefined) return judgeFlush(measured, notch, ratePerMin, regions);
    if (beats === null) return nothing('Too few whole beats to judge.');
    const upstroke = quantile(
      found.beats.map(({ footAt, peakAt }) => peakAt - footAt),
      0.5,
    );
    return judgeWave(beats, notch, (1000 * upstroke) / samplesPerS);
  })();
  const test = measured?.test;
  const likelyErrorMmHg =
    test?.measured === 'ringing' && beats !== null && judged.verdict !== 'cannot tell' && beats.pulseMmHg > 0
      ? expectedError(
          { naturalHz: test.naturalHz.value, damping: Math.max(0.02, test.damping.value) },
          beats.ratePerMin,
          beats,
        )
      : null;
  return {
    findings: {
      samplesPerS,
      lengthS,
      channel,
      notes,
      faults,
      beats,
      notch,
      flushes: flushFindings,
      ...judged,
      likelyErrorMmHg,
      noiseMmHg,
    },
    beats: unread ? [] : found.beats,
    flushes,
  };
}
