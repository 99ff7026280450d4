import type { TimedDutyKind } from '../domain/audit/duty-outcomes.ts';
import type { Species } from '../domain/patient/species.ts';
import type { FailureReason } from '../domain/record/removal-reasons.ts';

/** Species of the invented ward. */
export type InventedSpecies = Extract<Species, 'dog' | 'cat' | 'rabbit'>;

/** Who tries to place lines on the invented ward, and how. Nobody in it exists. */
export interface Operator {
  user: string;
  /** Share of their tries that fail, in their first `learnsIn` tries and after. */
  failsAtFirst: number;
  fails: number;
  learnsIn: number;
  /** How often they are the first to try, against the others. */
  weight: number;
  /** Share of the year after which they place no more. */
  until: number;
}

const operator = (user: string, fails: number, more: Partial<Operator> = {}): Operator => ({
  user,
  failsAtFirst: fails,
  fails,
  learnsIn: 0,
  weight: 2,
  until: 1,
  ...more,
});

/**
 * What is put into an invented year, and what its audit must find again. Every number here is made up for practice; none is
 * a finding, and no ward's.
 */
export const inventedYear = {
  operators: [
    operator('U0CLINORLA', 0.1, { weight: 3 }),
    operator('U0CLINBENO', 0.2),
    operator('U0NURSEKAYA', 0.25),
    operator('U0NURSEMILO', 0.2, { failsAtFirst: 0.55, learnsIn: 30 }),
    operator('U0NURSERUNE', 0.2, { until: 0.4 }),
    operator('U0NURSEIVIE', 0.5, { weight: 1 }),
  ],
  clinicians: ['U0CLINORLA', 'U0CLINBENO'],
  nurses: ['U0NURSEKAYA', 'U0NURSEMILO', 'U0NURSERUNE', 'U0NURSEIVIE', 'U0NURSESENA', 'U0NURSEADDO'],
  lead: 'U0LEADWREN',
  /** Share of animals that go without a line, each time that a hand has tried in vain. */
  goesWithout: 0.4,
  /** Share of placings whose tries nobody recorded. */
  triesUnrecorded: 0.06,
  species: { dog: 62, cat: 30, rabbit: 8 } satisfies Record<InventedSpecies, number>,
  /** Time to failure, h: Weibull. Failures come later rather than sooner, and in cats soonest. */
  failure: {
    dog: { scaleH: 140, shape: 1.4 },
    cat: { scaleH: 30, shape: 1.4 },
    rabbit: { scaleH: 90, shape: 1.4 },
  } satisfies Record<InventedSpecies, { scaleH: number; shape: number }>,
  /** What a failure is. Bleeding is none of them: it is seen at the site, and managed. */
  failureReasons: {
    occluded: 50,
    dislodged: 25,
    swelling: 12,
    infection: 3,
    'pulse or limb change': 10,
  } satisfies Partial<Record<FailureReason, number>>,
  /** First sight of ooze at the site, per 100 line-days at risk. */
  oozePer100LineDays: 6,
  /**
   * Share of duties that are set out to be done before the nurse's grace is over. The audit finds these of flush, test, source
   * and first pulse check; of the others it finds more on time, since something else does them too: a redress looks at the
   * site, a removal answers "still needed?", and a zero that is owed for two reasons is one.
   */
  onTime: {
    flush: 0.86,
    runOut: 0.9,
    zero: 0.82,
    test: 0.78,
    source: 0.8,
    site: 0.75,
    redress: 0.7,
    stillNeeded: 0.6,
    set: 0.85,
    pulse: 0.88,
    pulseNextDay: 0.7,
  } satisfies Omit<Record<TimedDutyKind, number>, 'dwellLimit'>,
  /** Share of the limbs looked at whose pulse is absent at the first check. */
  pulseAbsent: 0.08,
  pulseWeak: 0.06,
  /** Share of limbs nobody looks at on the first day. */
  firstPulseMissed: 0.1,
} as const;

/** Names of the invented animals. */
export const animalNames: Record<InventedSpecies, readonly [string, ...string[]]> = {
  dog: [
    'Biscuit',
    'Oskar',
    'Tansy',
    'Bramble',
    'Hugo',
    'Pirta',
    'Wolke',
    'Juno',
    'Anker',
    'Fenna',
    'Rollo',
    'Maus',
    'Ember',
    'Kasimir',
    'Dotty',
    'Larch',
    'Quill',
    'Odin',
    'Sorrel',
    'Tuft',
  ],
  cat: [
    'Miso',
    'Pelle',
    'Suki',
    'Grisou',
    'Nebel',
    'Toffee',
    'Ilka',
    'Basil',
    'Minoo',
    'Fitz',
    'Velvet',
    'Oona',
  ],
  rabbit: ['Klee', 'Hazel', 'Ragnar', 'Pip', 'Cassia'],
};

/** Why the invented animals have a line. */
export const indications = [
  'septic abdomen',
  'twisted stomach, after surgery',
  'bleeding abdomen',
  'hit by a car',
  'ventilated',
  'brain surgery',
  'pressors running',
  'blood gases often',
] as const;
