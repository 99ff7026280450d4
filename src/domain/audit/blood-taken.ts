import { bloodLostIn24h, bloodLostMl } from '../blood/blood-loss.ts';
import type { WardPolicy } from '../policy/ward-policy.ts';
import type { EntryOf } from '../record/entry.ts';
import { isWithin, type LineCourse, lineDaysOf, type Period, type Stay } from './line-course.ts';
import { type Share, shareOf } from './share.ts';
import { type Spread, spreadOf } from './spread.ts';
import { fewest } from './too-few.ts';

/** Blood that left the animals by their lines in a period: samples, and discards that were not given back. */
export interface BloodTaken {
  samples: number;
  ml: number;
  /** Null where lines were in for less than a day in all. */
  mlPerLineDay: number | null;
  /** Too few line-days for this to mean anything. */
  tooFewDays: boolean;
  /** Of each line sampled, the most it gave within 24 h, % of the animal's circulating volume. */
  mostPercentIn24h: Spread;
  /** Lines whose most went beyond what the ward warns of, of the lines sampled. */
  linesBeyondWarning: Share;
}

/** What one line gave in a period. */
export interface Draws {
  samples: number;
  ml: number;
  mostPercentIn24h: number;
  isBeyondWarning: boolean;
}

/** The draws of one line in a period, null where there were none. The 24 h before a sample may reach back before the period. */
export function drawsOf(
  { steps }: Pick<LineCourse, 'steps'>,
  policyAt: (at: number) => WardPolicy,
  period: Period,
): Draws | null {
  const draws: Draws = { samples: 0, ml: 0, mostPercentIn24h: 0, isBeyondWarning: false };
  for (const { entry, after } of steps) {
    if (entry.kind !== 'sampled' || !isWithin(entry.at, period)) continue;
    const { percent } = bloodLostIn24h(after.patient, after.samples, entry.at);
    draws.samples += 1;
    draws.ml += lostMl(entry);
    draws.mostPercentIn24h = Math.max(draws.mostPercentIn24h, percent);
    draws.isBeyondWarning ||= percent > policyAt(entry.at).bloodWarnPercent;
  }
  return draws.samples > 0 ? draws : null;
}

/** Blood taken by all lines of a period. */
export function bloodTaken(all: readonly Draws[], stays: readonly Stay[], period: Period): BloodTaken {
  const ml = all.reduce((sum, draws) => sum + draws.ml, 0);
  const lineDays = lineDaysOf(stays, period);
  return {
    samples: all.reduce((sum, { samples }) => sum + samples, 0),
    ml,
    mlPerLineDay: lineDays >= fewest.lineDaysGiven ? ml / lineDays : null,
    tooFewDays: lineDays < fewest.lineDays,
    mostPercentIn24h: spreadOf(all.map(({ mostPercentIn24h }) => mostPercentIn24h)),
    linesBeyondWarning: shareOf(all.filter(({ isBeyondWarning }) => isBeyondWarning).length, all.length),
  };
}

function lostMl({ at, by, body }: EntryOf<'sampled'>): number {
  const { volumeMl, discardMl = 0, discardReturned = false } = body;
  return bloodLostMl([{ at, by, volumeMl, discardMl, discardReturned }]);
}
