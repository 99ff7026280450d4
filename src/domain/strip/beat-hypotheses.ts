import { weighedExtra } from './extra-waves.ts';
import { boxSmoothed, mean, quantile, rangeWithin, thinned } from './smoothing.ts';
import { type Looking, type Seen, strokesAt, type Upstroke } from './upstrokes.ts';

/** Beats as they show when looked for at one length of beat. */
export interface Hypothesis {
  lengthS: number;
  /** Upstrokes of each stretch, in the sample numbers of the stretch. */
  strokes: Upstroke[][];
  count: number;
}

function intervals(strokes: readonly Upstroke[][]): number[] {
  return strokes.flatMap((own) => own.slice(1).map(({ peakAt }, i) => peakAt - (own[i]?.peakAt ?? 0)));
}

/** Lengths of a beat that are tried, s; together with what each leads to they leave no rate of 18 to 340 /min out. */
const triedS = [0.19, 0.25, 0.33, 0.45, 0.6, 0.85, 1.2, 1.7, 2.4, 3.2] as const;
const rangeS = { shortest: 0.17, longest: 3.6 } as const;

/**
 * All sets of beats that bear themselves out: looked for at a length of beat, they are that far apart. Longest beats first.
 * A pulse has one such set; ringing and large dicrotic waves make another of shorter beats, alternation one of longer.
 */
export function hypotheses(stretches: readonly Float64Array[], samplesPerS: number): Hypothesis[] {
  const found: Hypothesis[] = [];
  const seen: Seen = new Map();
  for (const looking of waysToLook) {
    for (const tried of triedS.filter((s) => s <= looking.longestS)) {
      const one = settled(stretches, samplesPerS, tried, looking, seen);
      if (one === null || !isTall(one, stretches, samplesPerS)) continue;
      if (!found.some(({ count }) => Math.abs(one.count - count) <= 0.03 * count)) found.push(one);
    }
  }
  return found.toSorted((a, b) => b.lengthS - a.lengthS);
}

/** Much of a beat is smoothed over where a line rings slowly, less where early beats of a fast heart would be lost by it. */
const waysToLook: readonly Looking[] = [
  { share: 0.12, least: 0.3, longestS: rangeS.longest },
  { share: 0.2, least: 0.3, longestS: rangeS.longest },
  { share: 0.08, least: 0.18, longestS: 0.33 },
];

/** Looked for at the length that was found, until both agree; null where they do not. */
function settled(
  stretches: readonly Float64Array[],
  samplesPerS: number,
  tried: number,
  looking: Looking,
  seen: Seen,
): Hypothesis | null {
  let lengthS = tried;
  for (let round = 0; round < 4; round += 1) {
    const strokes = strokesAt(stretches, lengthS * samplesPerS, looking, seen);
    const apart = intervals(strokes);
    if (apart.length < 2) return null;
    const longest = 2.5 * quantile(apart, 0.5);
    // Beats in pairs have no usual interval but their mean; what is far longer is no interval.
    const next = mean(apart.filter((one) => one <= longest)) / samplesPerS;
    const isBorneOut = next > 0.8 * lengthS && next < 1.25 * lengthS;
    lengthS = Math.min(rangeS.longest, Math.max(rangeS.shortest, next));
    if (isBorneOut) return { lengthS, strokes, count: apart.length };
  }
  return null;
}

/** Whether the rises are a good part of the trace's own ups and downs: breathing and noise under a pulse are not. */
function isTall(
  { lengthS, strokes }: Hypothesis,
  stretches: readonly Float64Array[],
  samplesPerS: number,
): boolean {
  const width = Math.round(1.2 * lengthS * samplesPerS);
  const ranges = stretches.flatMap((one) => {
    const own: number[] = [];
    for (let from = 0; from + width <= one.length; from += width)
      own.push(rangeWithin(one, from, from + width));
    return own;
  });
  const rises = strokes.flatMap((own) => own.map(({ rise }) => rise));
  return ranges.length === 0 || quantile(rises, 0.5) > 0.33 * quantile(ranges, 0.4);
}

/** How alike a wave is to itself so many samples later, above its slow level; 1 is the same. */
export function selfLikeness(stretches: readonly Float64Array[], lag: number, samplesPerS: number): number {
  let [sum, a2, b2] = [0, 0, 0];
  for (const one of stretches) {
    const level = boxSmoothed(one, Math.max(2 * lag, 2 * samplesPerS));
    for (let i = 0; i + lag < one.length; i += 1) {
      const [a, b] = [(one[i] ?? 0) - (level[i] ?? 0), (one[i + lag] ?? 0) - (level[i + lag] ?? 0)];
      sum += a * b;
      a2 += a * a;
      b2 += b * b;
    }
  }
  return a2 > 0 && b2 > 0 ? sum / Math.sqrt(a2 * b2) : 0;
}

/** The highest likeness near a lag: the usual beat is not a whole number of samples, nor exactly the median. */
function likenessNear(stretches: readonly Float64Array[], lengthS: number, samplesPerS: number): number {
  let best = -1;
  for (let by = -0.04; by <= 0.041; by += 0.02) {
    best = Math.max(best, selfLikeness(stretches, Math.round(lengthS * (1 + by) * samplesPerS), samplesPerS));
  }
  return best;
}

/** The same upstrokes with their rises on a trace that is smoothed less: much smoothing makes an early beat smaller than it is. */
function measuredAnew(strokes: readonly Upstroke[], trace: Float64Array, reach: number): Upstroke[] {
  return strokes.map((stroke) => {
    const { lowAt, peakAt } = stroke;
    return { ...stroke, rise: rangeWithin(trace, Math.round(lowAt - reach), Math.round(peakAt + reach)) };
  });
}

/** Whether the waves that a set of shorter beats has more are beats. */
function extraAreBeats(
  longer: Hypothesis,
  shorter: Hypothesis,
  stretches: readonly Float64Array[],
  samplesPerS: number,
): 'beats' | 'no beats' | 'cannot tell' {
  const [extra, matched, delays, troughs]: [number[], number[], number[], number[]] = [[], [], [], []];
  for (const [n, seen] of shorter.strokes.entries()) {
    const width = Math.min(0.1, 0.15 * shorter.lengthS) * samplesPerS;
    const trace = boxSmoothed(stretches[n] ?? new Float64Array(0), width);
    const own = measuredAnew(seen, trace, width / 2);
    const peaks = (longer.strokes[n] ?? []).map(({ peakAt }) => peakAt);
    const near = 0.45 * longer.lengthS * samplesPerS;
    // Each longer beat is the tallest of the shorter ones around it.
    const taken = new Set(
      peaks.map((peak) => {
        const around = own.filter(({ peakAt }) => Math.abs(peakAt - peak) <= near);
        return around.toSorted((a, b) => b.rise - a.rise)[0];
      }),
    );
    let last: Upstroke | null = null;
    for (const stroke of own) {
      if (taken.has(stroke)) {
        matched.push(stroke.rise);
        last = stroke;
      } else {
        extra.push(stroke.rise);
        if (last === null) continue;
        delays.push((stroke.peakAt - last.peakAt) / samplesPerS);
        troughs.push(((trace[stroke.lowAt] ?? 0) - (trace[last.lowAt] ?? 0)) / last.rise);
      }
    }
  }
  if (extra.length === 0 || matched.length === 0) return 'no beats';
  return weighedExtra({
    perBeat: extra.length / matched.length,
    ratio: quantile(extra, 0.5) / quantile(matched, 0.5),
    leastRatio: quantile(extra, 0.15) / quantile(matched, 0.5),
    delayS: quantile(delays, 0.5),
    trough: quantile(troughs, 0.5),
    longerS: longer.lengthS,
    shorterPerMin: 60 / shorter.lengthS,
    gain: () =>
      likenessNear(stretches, shorter.lengthS, samplesPerS) -
      likenessNear(stretches, longer.lengthS, samplesPerS),
  });
}

/** The set of beats that is taken, and others that cannot be ruled out. */
export interface Chosen {
  taken: Hypothesis;
  /** Rates that the trace could have instead, /min. */
  openPerMin: number[];
  /** Rates of all other sets that bear themselves out, /min, however they were weighed. */
  othersPerMin: number[];
}

/** No heart beats faster, /min (own rule; the reader tells up to 335). */
const fastestPerMin = 340;

/** A rate that is off by less than this share is no other rate. */
const noOtherRate = 0.04;

/** So many values a second are enough to weigh beats of up to 340 /min. */
const enoughPerS = 100;

/** Which set of beats is the pulse's: the one of this rate, /min, where one is wanted. */
export function chosenHypothesis(
  whole: readonly Float64Array[],
  fullSamplesPerS: number,
  wantedPerMin: number | null,
): Chosen | null {
  const every = Math.max(1, Math.floor(fullSamplesPerS / enoughPerS));
  const stretches = whole.map((one) => thinned(one, every));
  const samplesPerS = fullSamplesPerS / every;
  const all = hypotheses(stretches, samplesPerS);
  const chosen = wantedPerMin === null ? weighed(all, stretches, samplesPerS) : nearest(all, wantedPerMin);
  if (chosen === null) return null;
  const { lengthS, strokes, count } = chosen.taken;
  // Far smaller than the others: what is left of the pulse behind a clamp, or noise.
  const least =
    0.22 *
    quantile(
      strokes.flatMap((own) => own.map(({ rise }) => rise)),
      0.5,
    );
  const inFull = strokes.map((own) =>
    own
      .filter(({ rise }) => rise >= least)
      .map(({ lowAt, peakAt, rise }) => ({ lowAt: lowAt * every, peakAt: peakAt * every, rise })),
  );
  return { ...chosen, taken: { lengthS, strokes: inFull, count } };
}

const perMin = ({ lengthS }: Hypothesis) => 60 / lengthS;

/** The set of the rate that is nearest to a wanted one; how it compares with others is not weighed. */
function nearest(all: readonly Hypothesis[], wantedPerMin: number): Chosen | null {
  const off = (one: Hypothesis) => Math.abs(Math.log(perMin(one) / wantedPerMin));
  const [taken] = all.toSorted((a, b) => off(a) - off(b));
  return taken === undefined ? null : { taken, openPerMin: [], othersPerMin: [] };
}

function weighed(
  all: readonly Hypothesis[],
  stretches: readonly Float64Array[],
  samplesPerS: number,
): Chosen | null {
  const [first, ...shorter] = all;
  if (first === undefined) return null;
  let taken = first;
  let openPerMin: number[] = [];
  for (const one of shorter) {
    const extra = extraAreBeats(taken, one, stretches, samplesPerS);
    if (extra === 'beats') {
      // What was open between the two sets is settled with it.
      taken = one;
      openPerMin = [];
    } else if (extra === 'cannot tell' && perMin(one) < fastestPerMin) openPerMin.push(perMin(one));
  }
  const takenPerMin = perMin(taken);
  return {
    taken,
    openPerMin: openPerMin.filter((open) => Math.abs(open / takenPerMin - 1) > noOtherRate),
    othersPerMin: all.filter((one) => one !== taken).map(perMin),
  };
}
