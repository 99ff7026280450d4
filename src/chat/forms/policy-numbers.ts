import type { WardPolicy } from '../../domain/policy/ward-policy.ts';

/** One number of the ward policy as the form asks it. Bounds are those of the policy's schema. */
export interface PolicyNumber {
  /** The policy's key, with a point where it lies one deeper. */
  id: string;
  group: 'care' | 'ladder' | 'after' | 'rounds' | 'audit';
  label: string;
  unit:
    | 'min'
    | 'h'
    | 'days'
    | 'mmHg'
    | '%'
    | 'Hz'
    | 'times'
    | '/min'
    | 'mL'
    | 'mL/kg/day'
    | 'U/kg/day'
    | 'U/mL';
  min: number;
  max: number;
  whole: boolean;
  hint?: string;
  /** May stay empty: then nothing is recorded of it. */
  mayBeOff?: boolean;
}

type Row = [
  id: string,
  group: PolicyNumber['group'],
  label: string,
  unit: PolicyNumber['unit'],
  min: number,
  max: number,
  hint?: string,
];

const catDwellHint =
  'Published advice differs: 24 h at most in one feline text (van den Herik & Gommeren), 6 to 8 h in other teaching; half of the lines in one series of cats stayed 12 h or longer (Hagley 2021).';

const rows: readonly Row[] = [
  ['flushEveryMin', 'care', 'Manual flush every', 'min', 15, 360],
  ['siteCheckEveryH', 'care', 'Site and limb check every', 'h', 1, 12],
  [
    'siteCheckCloseEveryH',
    'care',
    'The same for cats, and lines in tail or ear',
    'h',
    0.5,
    12,
    'Little else feeds the part below. Common practice.',
  ],
  ['catDwellWarningH', 'care', 'Cat: dwell warning after', 'h', 1, 24, catDwellHint],
  [
    'catDwellLimitH',
    'care',
    'Cat: dwell limit',
    'h',
    2,
    24,
    'Cannot be put off; only a clinician lets it go.',
  ],
  ['stillNeededEveryH', 'care', 'Others: “still needed?” every', 'h', 12, 72],
  [
    'stillNeededSoonEveryH',
    'care',
    'The same for ear lines, rabbits and ferrets',
    'h',
    4,
    72,
    'Common practice.',
  ],
  ['flushGraceMin.nurse', 'ladder', 'Late flush: nurse hears after', 'min', 1, 60],
  ['flushGraceMin.clinician', 'ladder', 'Late flush: clinician hears after', 'min', 2, 120],
  ['graceMin.nurse', 'ladder', 'Other late care: nurse hears after', 'min', 1, 120],
  ['graceMin.clinician', 'ladder', 'Other late care: clinician hears after', 'min', 2, 240],
  ['repeatMin', 'ladder', 'Clinician hears again every', 'min', 5, 120],
  ['claimMin', 'ladder', 'A claim lasts', 'min', 5, 120],
  ['laterFlushMin', 'ladder', '“Later” moves a flush by', 'min', 1, 30],
  ['laterMin', 'ladder', '“Later” moves others by', 'min', 1, 60],
  ['atOnceMin', 'ladder', 'What is due at once: reminded after', 'min', 0, 30],
  ['driftLimitMmHg', 'after', 'Zero off by more than this marks readings', 'mmHg', 1, 20],
  [
    'bloodWarnPercent',
    'after',
    'Blood taken in 24 h: warn above',
    '%',
    1,
    15,
    'Of the circulating volume: dog 85, cat 55 mL/kg.',
  ],
  [
    'newStayAfterDays',
    'after',
    'A new stay begins, after the last line came out',
    'days',
    1,
    30,
    'Until then, a line with the same name brings the question: same animal or another?',
  ],
  [
    'testTooSlowHz',
    'after',
    'Fast-flush test: too slow for any pulse below',
    'Hz',
    1,
    20,
    'Natural frequency. 7 Hz: Mark 1998.',
  ],
  [
    'testWantedMultiple',
    'after',
    'Natural frequency wanted, of the heart rate',
    'times',
    4,
    12,
    'Published: 5 to 10.',
  ],
  [
    'lineErrorLimitMmHg',
    'after',
    'Measured line: systolic or diastolic may be off by',
    'mmHg',
    2,
    20,
    'Expected by a model at the reading’s heart rate; beyond it the reading is doubtful.',
  ],
  [
    'byEyeUpToPerMin',
    'after',
    'A test by eye is enough up to a heart rate of',
    '/min',
    60,
    300,
    'Above it I ask for a strip.',
  ],
  [
    'mapTellBelowMmHg',
    'after',
    'Mean below which a reading says: tell the clinician',
    'mmHg',
    30,
    100,
    'Hypotension under anaesthesia: mean below 60 to 70 (AAHA 2020).',
  ],
  [
    'sapTellAboveMmHg',
    'after',
    'Systolic above which it says so',
    'mmHg',
    120,
    300,
    'Severe in conscious animals: 180 and above (ACVIM 2018).',
  ],
  [
    'sapTellBelowMmHg',
    'after',
    'Systolic below which it says so',
    'mmHg',
    40,
    120,
    'Hypotension: systolic below 80 to 90 (AAHA 2020). Empty: never.',
  ],
  [
    'dapTellBelowMmHg',
    'after',
    'Diastolic below which it says so',
    'mmHg',
    20,
    80,
    'Hypotension under anaesthesia: diastolic below 40 (AAHA 2020). Empty: never.',
  ],
  ['maintenanceMlPerKgDay', 'after', 'A day’s fluid maintenance', 'mL/kg/day', 20, 150],
  [
    'flushWarnPercent',
    'after',
    'Flush: warn above this share of it',
    '%',
    5,
    100,
    '20 % or more of intake went to keeping devices open in children’s ICUs (Gaetani 2024).',
  ],
  ['heparinWarnUPerKgDay', 'after', 'Heparin from flushing: warn above', 'U/kg/day', 5, 500],
  [
    'heparinAskAboveUPerMl',
    'after',
    'Heparin in the flush: a second look above',
    'U/mL',
    0,
    100,
    '1 U/mL keeps lines open longer in people (DiBartola); more than 5 is common practice to ask about.',
  ],
  ['heparinAskAboveSmallUPerMl', 'after', 'The same, below 5 kg', 'U/mL', 0, 100],
  ['usualFlushSmallMl', 'after', 'Usual flush by hand, below 5 kg', 'mL', 0.1, 5],
  ['usualFlushMiddleMl', 'after', 'Usual flush by hand, 5 to 15 kg', 'mL', 0.1, 10],
  ['usualFlushLargeMl', 'after', 'Usual flush by hand, from 15 kg', 'mL', 0.1, 10],
  [
    'flushAgainMin',
    'after',
    'A second flush asks first within',
    'min',
    0,
    30,
    'At most half the time between two flushes; 0: never asks.',
  ],
  ['faultAskMin', 'after', 'A fault left half way is asked after in', 'min', 5, 10],
  ['sourceDeadMl', 'after', 'Left in a bag or syringe that counts as empty', 'mL', 0, 50],
  ['holdMin', 'after', 'Hold pressure', 'min', 1, 30],
  ['holdBleedingMin', 'after', 'Hold, femoral, brachial or bleeding disorder', 'min', 1, 60],
  ['pulseFirstH', 'after', 'First pulse check after', 'h', 0.5, 6],
  ['pulseNextDayH', 'after', 'Next-day pulse check after', 'h', 12, 48],
  ['sourcePressureMmHg', 'after', 'Pressure bag at', 'mmHg', 100, 350],
  ['runOutMarginMin', 'after', 'Change the source before it runs out by', 'min', 5, 120],
  ['setEveryH', 'after', 'Transducer set every', 'h', 24, 96],
  [
    'awayAskAfterH',
    'rounds',
    'Patient off the ward: asked after from',
    'h',
    1,
    24,
    'What waits for its return is asked for then.',
  ],
  ['handoverBeforeMin', 'rounds', 'Handover before the shift by', 'min', 5, 60],
  ['handoverAcceptMin', 'rounds', 'Handover accepted within', 'min', 5, 120],
  ['shiftEarlyMin', 'rounds', 'Shift duties count before its start by', 'min', 0, 120],
  ['roundMin', 'rounds', 'One round: duties within', 'min', 0, 60],
  ['nudgeGapMin', 'rounds', 'At most one reminder every', 'min', 0, 30],
  ['lapsedAfterDays', 'audit', 'Practice lapses without a try at placing for', 'days', 14, 730],
  [
    'failureAcceptablePercent',
    'audit',
    'Tries at placing that may fail',
    '%',
    1,
    90,
    'Learning curves are held against it. 20 % in people: Kestin 1995.',
  ],
  ['failureUnacceptablePercent', 'audit', 'Share failing that is not acceptable', '%', 2, 95],
];

/** Every number of the policy, in the order of the form. Hours may be given in parts of an hour, minutes and days may not. */
export const policyNumbers: readonly PolicyNumber[] = rows.map(
  ([id, group, label, unit, min, max, hint]) => ({
    id,
    group,
    label,
    unit,
    min,
    max,
    whole: unit === 'min' || unit === 'days' || unit === '/min',
    ...(hint === undefined ? {} : { hint }),
    ...(id === 'sapTellBelowMmHg' || id === 'dapTellBelowMmHg' ? { mayBeOff: true } : {}),
  }),
);

/** The numbers of a policy by the form's ids. */
export function numbersOf(policy: WardPolicy): Record<string, number> {
  const flat = Object.entries(policy).flatMap(([key, value]): [string, unknown][] =>
    key === 'flushGraceMin' || key === 'graceMin'
      ? Object.entries(value ?? {}).map(([step, minutes]) => [`${key}.${step}`, minutes])
      : [[key, value]],
  );
  const known = new Set(policyNumbers.map(({ id }) => id));
  return Object.fromEntries(
    flat.filter((entry): entry is [string, number] => known.has(entry[0]) && typeof entry[1] === 'number'),
  );
}

/** The part of a policy that the numbers make, null where one is off; the inverse of `numbersOf`. */
export function numbersAsPolicy(numbers: Readonly<Record<string, number | null>>): Record<string, unknown> {
  const policy: Record<string, unknown> = {};
  for (const [id, value] of Object.entries(numbers)) {
    const [key = '', step] = id.split('.');
    if (step === undefined) policy[key] = value;
    else policy[key] = { ...(policy[key] as object | undefined), [step]: value };
  }
  return policy;
}
