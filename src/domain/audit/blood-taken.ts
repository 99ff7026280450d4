import { bloodLostMl } from '../blood/blood-loss.ts';
import { circulatingMl } from '../blood/blood-volume.ts';
import type { Patient } from '../patient/patient.ts';
import type { WardPolicy } from '../policy/ward-policy.ts';
import { dayMs } from '../time.ts';
import { isWithin, type LineCourse, lineDaysOf, type Period, type Stay } from './line-course.ts';
import { type Share, shareOf } from './share.ts';
import { type Spread, spreadOf } from './spread.ts';
import { fewest } from './too-few.ts';

/** Blood that left the animals by their lines in a period: samples, discards that were not given back, and what was spilt. */
export interface BloodTaken {
  samples: number;
  /** Disconnections that bled, and what was lost at them, mL, as near as somebody could guess. */
  spills: number;
  spiltMl: number;
  /** All of it, mL. */
  ml: number;
  /** Null where lines were in for less than a day in all. */
  mlPerLineDay: number | null;
  /** Too few line-days for this to mean anything. */
  tooFewDays: boolean;
  /** Of each animal that lost any, the most within 24 h by all its lines, % of its circulating volume. */
  mostPercentIn24h: Spread;
  /** Animals whose most went beyond what the ward warns of, of those that lost any. */
  animalsBeyondWarning: Share;
}

/** Blood that left by a line at one time, ms. */
interface Loss {
  at: number;
  ml: number;
  isSpilt: boolean;
}

/** What one line took, and what was known of its animal: `patientTold`, ms, since when. */
export interface BloodByLine {
  line: string;
  placedAt: number;
  patient: Pick<Patient, 'species' | 'weightKg'>;
  patientRecordedAt: number;
  losses: Loss[];
}

/** What one line took in a period and in the 24 h before it. */
export function bloodByLine(
  { steps, last, placedAt }: Pick<LineCourse, 'steps' | 'last' | 'placedAt'>,
  { fromMs }: Period,
): BloodByLine {
  const losses = steps.flatMap(({ entry }): Loss[] => {
    const { at, by } = entry;
    if (at <= fromMs - dayMs) return [];
    if (entry.kind === 'disturbed') {
      const { bloodLostMl: ml = 0 } = entry.body;
      return ml > 0 ? [{ at, ml, isSpilt: true }] : [];
    }
    if (entry.kind !== 'sampled') return [];
    const { volumeMl, discardMl = 0, discardReturned = false } = entry.body;
    return [{ at, ml: bloodLostMl([{ at, by, volumeMl, discardMl, discardReturned }]), isSpilt: false }];
  });
  const { patient, patientRecordedAt } = last;
  return { line: last.id, placedAt, patient, patientRecordedAt, losses };
}

/** Blood taken by all lines of a period; `animalOf`: whose each is. An animal's lines count together. */
export function bloodTaken(
  all: readonly BloodByLine[],
  animalOf: (line: string) => string,
  policyAt: (at: number) => WardPolicy,
  stays: readonly Stay[],
  period: Period,
): BloodTaken {
  const within = all.flatMap(({ losses }) => losses.filter(({ at }) => isWithin(at, period)));
  const spilt = within.filter(({ isSpilt }) => isSpilt);
  const ml = sumOf(within);
  const lineDays = lineDaysOf(stays, period);
  const animals = [...Map.groupBy(all, ({ line }) => animalOf(line)).values()].flatMap(
    (lines) => mostOfAnimal(lines, policyAt, period) ?? [],
  );
  return {
    samples: within.length - spilt.length,
    spills: spilt.length,
    spiltMl: sumOf(spilt),
    ml,
    mlPerLineDay: lineDays >= fewest.lineDaysGiven ? ml / lineDays : null,
    tooFewDays: lineDays < fewest.lineDays,
    mostPercentIn24h: spreadOf(animals.map(({ percent }) => percent)),
    animalsBeyondWarning: shareOf(animals.filter(({ isBeyond }) => isBeyond).length, animals.length),
  };
}

/** The most that one animal lost within 24 h, by all its lines; null where it lost nothing in the period. */
function mostOfAnimal(
  lines: readonly BloodByLine[],
  policyAt: (at: number) => WardPolicy,
  period: Period,
): { percent: number; isBeyond: boolean } | null {
  const losses = lines.flatMap((line) => line.losses).toSorted((a, b) => a.at - b.at);
  let most: { percent: number; isBeyond: boolean } | null = null;
  losses.forEach(({ at }, index) => {
    if (!isWithin(at, period)) return;
    const lost = sumOf(losses.slice(0, index + 1).filter((one) => one.at > at - dayMs));
    const percent = (100 * lost) / circulatingMl(patientAt(lines, at));
    const isBeyond = percent > policyAt(at).bloodWarnPercent;
    most = {
      percent: Math.max(percent, most?.percent ?? 0),
      isBeyond: isBeyond || most?.isBeyond === true,
    };
  });
  return most;
}

/** What was recorded last of the animal by its lines that were in by `at`, ms. */
function patientAt(lines: readonly BloodByLine[], at: number): BloodByLine['patient'] {
  const known = lines.filter(({ placedAt }) => placedAt <= at);
  const latest = (known.length > 0 ? known : lines).reduce((one, other) =>
    other.patientRecordedAt > one.patientRecordedAt ||
    (other.patientRecordedAt === one.patientRecordedAt && other.line > one.line)
      ? other
      : one,
  );
  return latest.patient;
}

function sumOf(losses: readonly Loss[]): number {
  return losses.reduce((sum, { ml }) => sum + ml, 0);
}
