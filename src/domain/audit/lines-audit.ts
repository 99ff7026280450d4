import { animalsOf, placingOf } from '../animal/animal.ts';
import { type Species, speciesList } from '../patient/species.ts';
import type { WardPolicy } from '../policy/ward-policy.ts';
import { placingStruck } from '../record/effective-entries.ts';
import { type Alert, type AlertBurden, alertBurden, alertsOf } from './alert-burden.ts';
import { type BloodTaken, bloodByLine, bloodTaken } from './blood-taken.ts';
import { type CareOnTime, careOnTime } from './care-on-time.ts';
import { complicationsOf } from './complications.ts';
import { dutyOutcomes, type TimedDutyKind } from './duty-outcomes.ts';
import { isWithin, type LoggedLine, lineCourse, type Period } from './line-course.ts';
import { type LinesInNumbers, linesIn, linesInNumbers } from './lines-in-numbers.ts';
import {
  type LimbLooks,
  limbLooksOf,
  type PulseAfterRemoval,
  pulseAfterRemoval,
} from './pulse-after-removal.ts';

/** A ward's lines over a period, from its record alone. */
export interface LinesAudit {
  period: Period;
  all: LinesInNumbers;
  /** Animals that had these lines; one that is back after its stay was over counts anew. */
  animals: number;
  /** Lines of the period that were registered in error: counted nowhere else. */
  inError: number;
  /** Species that had a line in the period. */
  bySpecies: Partial<Record<Species, LinesInNumbers>>;
  careOnTime: Partial<Record<TimedDutyKind, CareOnTime>>;
  alerts: AlertBurden;
  pulseAfterRemoval: PulseAfterRemoval;
  /** The same of each species of which a line came out in the period. */
  pulseBySpecies: Partial<Record<Species, PulseAfterRemoval>>;
  bloodTaken: BloodTaken;
}

/** Counts a ward's lines over a period one by one, so that no log need be held while the others are counted. */
export class LinesCount {
  private readonly facts: Facts[] = [];
  private readonly alerts: Alert[] = [];
  private inError = 0;
  private readonly policyAt: (at: number) => WardPolicy;
  private readonly period: Period;

  /**
   * `policyAt`: the ward's policy at an instant (ms), by which its duties fell due then; shifts are those at the period's end,
   * which is no later than now. Throws a RangeError where the period does not end after it begins.
   */
  constructor(policyAt: (at: number) => WardPolicy, period: Period) {
    if (!(period.toMs > period.fromMs))
      throw new RangeError(
        `An audit from ${period.fromMs} to ${period.toMs} ms was asked for; its end must come after its begin.`,
      );
    this.policyAt = policyAt;
    this.period = period;
  }

  /** One line more, in or out, closed ones included. */
  add(line: LoggedLine): void {
    const placed = line.log[0];
    if (placed && isWithin(placed.at, this.period) && placingStruck(line.log)) this.inError += 1;
    for (const alert of alertsOf(line.log)) if (isWithin(alert.at, this.period)) this.alerts.push(alert);
    const one = factsOf(line, this.policyAt, this.period);
    if (one) this.facts.push(one);
  }

  /** What all lines so far came to. */
  audit(): LinesAudit {
    const { facts, alerts, policyAt, period } = this;
    const animals = animalsOf(facts.map(({ placing }) => placing));
    const bySpecies = Map.groupBy(facts, ({ species }) => species);
    return {
      period,
      all: linesInNumbers(facts, period),
      animals: animalsIn(facts, animals, period),
      inError: this.inError,
      bySpecies: Object.fromEntries(
        speciesList.flatMap((species) => {
          const theirs = linesInNumbers(bySpecies.get(species) ?? [], period);
          return theirs.lines > 0 ? [[species, theirs]] : [];
        }),
      ),
      careOnTime: careOnTime(
        facts.flatMap(({ outcomes }) => outcomes),
        period,
      ),
      alerts: alertBurden(alerts, facts, policyAt(period.toMs - 1).shifts, period),
      pulseAfterRemoval: pulseAfterRemoval(looksIn(facts, period)),
      pulseBySpecies: Object.fromEntries(
        speciesList.flatMap((species) => {
          const looks = looksIn(bySpecies.get(species) ?? [], period);
          return looks.length > 0 ? [[species, pulseAfterRemoval(looks)]] : [];
        }),
      ),
      bloodTaken: bloodTaken(
        facts.map(({ blood }) => blood),
        (line) => animals.get(line) ?? line,
        policyAt,
        facts,
        period,
      ),
    };
  }
}

/** The audit of every line that was ever placed on a ward, those closed included; throws as `LinesCount` does. */
export function linesAudit(
  lines: Iterable<LoggedLine>,
  policyAt: (at: number) => WardPolicy,
  period: Period,
): LinesAudit {
  const count = new LinesCount(policyAt, period);
  for (const line of lines) count.add(line);
  return count.audit();
}

/** Animals that had a line in the period; whose a line is may hang on lines that came out before it. */
function animalsIn(facts: readonly Facts[], animals: ReadonlyMap<string, string>, period: Period): number {
  const here = linesIn(facts, period).map(({ placing }) => animals.get(placing.line));
  return new Set(here).size;
}

/** What was found at the limbs of lines that came out in the period. */
function looksIn(facts: readonly Facts[], period: Period): LimbLooks[] {
  return facts.flatMap(({ outAt, looks }) =>
    outAt !== null && looks && isWithin(outAt, period) ? [looks] : [],
  );
}

type Facts = NonNullable<ReturnType<typeof factsOf>>;

/**
 * What is counted of one line; null where it was not placed by the period's end. Its many states are let go here: a thousand
 * lines are no more to hold than their facts.
 */
function factsOf(line: LoggedLine, policyAt: (at: number) => WardPolicy, period: Period) {
  const course = lineCourse(line, period.toMs);
  if (!course) return null;
  const { placedAt, outAt, last } = course;
  return {
    placing: placingOf(last),
    placedAt,
    outAt,
    species: last.patient.species,
    site: last.site,
    reason: last.removed?.reason ?? null,
    complications: complicationsOf(course),
    outcomes: dutyOutcomes(course, policyAt, period.toMs).filter(({ dueAt }) => isWithin(dueAt, period)),
    looks: limbLooksOf(course, policyAt, period.toMs),
    blood: bloodByLine(course, period),
  };
}
