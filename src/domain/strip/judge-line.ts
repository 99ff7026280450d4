import { halfCycleRatio } from '../dynamic-response/damping-coefficient.ts';
import {
  type FlushTestRegions,
  type RegionVerdict,
  verdictsWithin,
  wantedHz,
} from '../dynamic-response/regions.ts';
import type { testVerdicts } from '../record/entry.ts';
import { verdictOfRegion } from '../trust/verdict-of-test.ts';
import type { BeatFindings } from './beat-findings.ts';
import type { DicroticNotch } from './dicrotic-notch.ts';
import type { MeasuredFlush, Span } from './measure-flush.ts';
import { fallOfLineS } from './ringing-turns.ts';
import type { TraceFault } from './trace-faults.ts';

/** What the line does to the trace; too slow: well damped, and yet it cannot follow a pulse this fast. */
export const stripVerdicts = [
  'normal',
  'flat (overdamped)',
  'spiky (underdamped)',
  'too slow for this heart rate',
  'cannot tell',
] as const;
export type StripVerdict = (typeof stripVerdicts)[number];

/** How sure a verdict is. */
export const confidences = ['fairly sure', 'unsure', 'no verdict'] as const;
export type Confidence = (typeof confidences)[number];

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

type NotMeasured = Extract<MeasuredFlush, { measured: 'cannot tell' }>['because'];

/** Why a verdict, or none, with the figures that it's told with. */
export type JudgedBy =
  | { by: 'fault'; fault: TraceFault }
  | {
      by:
        | 'too few beats'
        | 'numbers that look wrong'
        | 'a sine without a flush'
        | 'ringing that cannot be judged'
        | 'beats that ring'
        | 'small round beats'
        | 'a wave that does not tell';
    }
  | { by: 'flush not measured'; why: NotMeasured }
  /** `dampingUpTo`: what could hide in the pulse. */
  | { by: 'no ringing'; dampingUpTo: number }
  | { by: 'fall'; fallMs: number; dampingAtLeast: number; isQuick: boolean }
  /** `isOneTurn`: it shows by that alone, as it would after a valve that shut slowly. */
  | { by: 'ringing'; ringingHz: number; damping: Span; region: RegionVerdict; isOneTurn: boolean };

/** A verdict with its reason. */
export interface Judged {
  verdict: StripVerdict;
  confidence: Confidence;
  because: JudgedBy;
}

/** No verdict, and why. */
export const nothing = (because: JudgedBy): Judged => ({
  verdict: 'cannot tell',
  confidence: 'no verdict',
  because,
});

/** The verdicts of a test, in the words for a trace. */
const traceVerdicts = {
  normal: 'normal',
  underdamped: 'spiky (underdamped)',
  overdamped: 'flat (overdamped)',
  'cannot tell': 'cannot tell',
} as const satisfies Record<(typeof testVerdicts)[number], StripVerdict>;

const slowRegions: ReadonlySet<RegionVerdict['region']> = new Set([
  'slow for this heart rate',
  'borderline',
  'unacceptable',
]);

function verdictOf(found: Pick<RegionVerdict, 'region' | 'damping'>): StripVerdict {
  if (slowRegions.has(found.region) && found.damping === 'good') return 'too slow for this heart rate';
  return traceVerdicts[verdictOfRegion(found)];
}

/** A fall from 90 to 10 % within this is not slowed by a valve, ms (measured: a valve of 20 ms makes 16 ms or more). */
const quickFallMs = 15;

/**
 * A valve that shuts slowly makes the line look more damped, and its fall longer than that of the line it looks like: by an
 * eighth or more where the damping seems 0.05 too high (second-order line after a ramp, computed). The pulse under it makes the
 * fall of a line whose valve shuts at once so much longer at most.
 */
const mostFallOfLine = 1.15;

/** Ringing sampled less often than this in each cycle is a rough measure. */
const samplesASwing = 10;

/** A valve that takes 100 ms to shut makes a fall from 90 to 10 % of 80 ms, and a slow line and the pulse add as much, ms. */
const slowestValveFallMs = 200;

/** A damped line falls from 90 to 50 % in a quarter of the fall from 90 to 10 % (first-order system, computed); a quick fall with a slow tail is the pulse under it. */
const leastHalfFall = 0.15;

/** A swing back as large as this would show, mmHg (own rule). */
const showsMmHg = 3;

/** A fall on fewer samples than this hides how far the line swung over. */
const samplesAFall = 2;

/** Whether what is taken for ringing could be the pulse itself, once or twice in a beat. */
function looksLikePulse(ringingHz: number, ratePerMin: number | null): boolean {
  if (ratePerMin === null) return false;
  return [1, 2].some((n) => Math.abs((ringingHz * 60) / (n * ratePerMin) - 1) < 0.15);
}

/** Whether ringing is the line's own, and whether it was seen well enough to be sure of it. */
function howSure(
  test: Extract<MeasuredFlush, { measured: 'ringing' }>,
  {
    region,
    verdict,
    ratePerMin,
    samplesPerS,
  }: { region: RegionVerdict; verdict: StripVerdict; ratePerMin: number | null; samplesPerS: number },
): { isQuick: boolean; isCertain: boolean } {
  const { damping, naturalHz, ringingHz } = test;
  // One turn alone looks the same through a valve that shut slowly, unless the fall was too quick for that.
  const isResolved = samplesPerS >= samplesAFall * (1000 / test.fallMs);
  const ownFallMs = 1000 * fallOfLineS(naturalHz.value, damping.value);
  const isOwnFall = test.fallMs < quickFallMs && isResolved && test.fallMs < mostFallOfLine * ownFallMs;
  // What rings although the valve shut slowly rings the more by itself.
  const isQuick =
    test.dampingFrom === 'successive swings' ||
    (region.damping === 'under' ? test.fallMs < quickFallMs && isResolved : isOwnFall);
  // What swings over so far swings back. Where it was not seen to, the line may well ring more than that.
  const [turn, back] = test.turns;
  const wantsBack = Math.abs(turn?.offMmHg ?? 0) * halfCycleRatio(Math.min(0.99, damping.value));
  const swingsBack = back !== undefined || wantsBack < showsMmHg || verdict === 'spiky (underdamped)';
  const isCertain =
    isQuick &&
    swingsBack &&
    !looksLikePulse(ringingHz, ratePerMin) &&
    samplesPerS >= samplesASwing * ringingHz;
  return { isQuick, isCertain };
}

/** What the last fast flush that could be measured says of the line, and how surely. */
export function judgeFlush(
  { test, region }: FlushFinding,
  samplesPerS: number,
  notch: DicroticNotch,
  ratePerMin: number | null,
  regions: FlushTestRegions,
): Judged {
  switch (test.measured) {
    case 'cannot tell':
      return nothing({ by: 'flush not measured', why: test.because });
    case 'no ringing': {
      // A well damped line that falls from 90 to 10 % in f ms passes about 340 / f Hz (second-order system, damping 0.7).
      const reachesHz = 340 / test.fallMs;
      const wanted = wantedHz(regions, ratePerMin);
      const { fallMs, dampingAtLeast } = test;
      if (dampingAtLeast < 0.6) return nothing({ by: 'no ringing', dampingUpTo: dampingAtLeast });
      const isQuick = reachesHz >= wanted;
      const because = { by: 'fall', fallMs, dampingAtLeast, isQuick } as const;
      if (isQuick) return { verdict: 'normal', confidence: 'unsure', because };
      // A valve that shuts slowly falls as slowly; but not as slowly as this, and a good line still shows the notch.
      const isSlower = fallMs > slowestValveFallMs && test.halfFallMs > leastHalfFall * fallMs;
      const isSure =
        dampingAtLeast >= 0.65 && reachesHz < 0.7 * wanted && notch.notch === 'absent' && isSlower;
      return { verdict: 'flat (overdamped)', confidence: isSure ? 'fairly sure' : 'unsure', because };
    }
    case 'ringing': {
      const { damping, naturalHz, ringingHz } = test;
      if (region === null) return nothing({ by: 'ringing that cannot be judged' });
      const words = new Set(verdictsWithin(naturalHz, damping, ratePerMin, regions).map(verdictOf));
      const verdict = verdictOf(region);
      const { isQuick, isCertain } = howSure(test, { region, verdict, ratePerMin, samplesPerS });
      const because = { by: 'ringing', ringingHz, damping, region, isOneTurn: !isQuick } as const;
      if (verdict === 'cannot tell') return nothing(because);
      return { verdict, confidence: words.size === 1 && isCertain ? 'fairly sure' : 'unsure', because };
    }
  }
}

/** Without a flush the wave alone is not enough (Gardner 1981): only gross signs are named, never surely. */
export function judgeWave(beats: BeatFindings, notch: DicroticNotch, upstrokeMs: number): Judged {
  if (notch.notch === 'cannot tell' && notch.because === 'ringing hides it')
    return { verdict: 'spiky (underdamped)', confidence: 'unsure', because: { by: 'beats that ring' } };
  const beatMs = 60_000 / beats.ratePerMin;
  if (notch.notch === 'absent' && upstrokeMs > 0.3 * beatMs && beats.pulseMmHg < 0.35 * beats.mapMmHg)
    return { verdict: 'flat (overdamped)', confidence: 'unsure', because: { by: 'small round beats' } };
  return nothing({ by: 'a wave that does not tell' });
}
