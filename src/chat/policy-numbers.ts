import { z } from 'zod';
import { type WardPolicy, wardPolicySchema } from '../domain/policy/ward-policy.ts';

/** One number of the ward policy as the form asks it. */
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
  hint?: string,
];

const catDwellHint =
  'Published advice differs: 24 h at most in one feline text (van den Herik & Gommeren), 6 to 8 h in other teaching; half of the lines in one series of cats stayed 12 h or longer (Hagley 2021).';

const rows: readonly Row[] = [
  ['flushEveryMin', 'care', 'Manual flush every', 'min'],
  ['siteCheckEveryH', 'care', 'Site and limb check every', 'h'],
  [
    'siteCheckCloseEveryH',
    'care',
    'Site and limb check of cats, and lines in tail or ear, every',
    'h',
    'Little else feeds the part below. Common practice.',
  ],
  ['catDwellWarningH', 'care', 'Cat: dwell warning after', 'h', catDwellHint],
  ['catDwellLimitH', 'care', 'Cat: dwell limit', 'h', 'Cannot be put off; only a clinician lets it go.'],
  ['stillNeededEveryH', 'care', 'Others: “still needed?” every', 'h'],
  [
    'stillNeededSoonEveryH',
    'care',
    'Ear lines, rabbits and ferrets: “still needed?” every',
    'h',
    'Common practice.',
  ],
  ['flushGraceMin.nurse', 'ladder', 'Late flush: nurse hears after', 'min'],
  ['flushGraceMin.clinician', 'ladder', 'Late flush: clinician hears after', 'min'],
  ['graceMin.nurse', 'ladder', 'Other late care: nurse hears after', 'min'],
  ['graceMin.clinician', 'ladder', 'Other late care: clinician hears after', 'min'],
  ['repeatMin', 'ladder', 'Clinician hears again every', 'min'],
  ['claimMin', 'ladder', 'A claim lasts', 'min'],
  ['laterFlushMin', 'ladder', '“Later” moves a flush by', 'min'],
  ['laterMin', 'ladder', '“Later” moves others by', 'min'],
  ['atOnceMin', 'ladder', 'What is due at once: reminded after', 'min'],
  ['driftLimitMmHg', 'after', 'Zero off by more than this marks readings', 'mmHg'],
  [
    'bloodWarnPercent',
    'after',
    'Blood taken in 24 h: warn above',
    '%',
    'Of the circulating volume: dog 85, cat 55 mL/kg.',
  ],
  [
    'newStayAfterDays',
    'after',
    'A new stay begins, after the last line came out',
    'days',
    'Until then, a line with the same name brings the question: same animal or another?',
  ],
  [
    'testTooSlowHz',
    'after',
    'Fast-flush test: too slow for any pulse below',
    'Hz',
    'Natural frequency. 7 Hz: Mark 1998.',
  ],
  [
    'testWantedMultiple',
    'after',
    'Natural frequency wanted, of the heart rate',
    'times',
    'Published: 5 to 10.',
  ],
  [
    'lineErrorLimitMmHg',
    'after',
    'Measured line: systolic or diastolic may be off by',
    'mmHg',
    'Expected by a model at the reading’s heart rate; beyond it the reading is doubtful.',
  ],
  [
    'byEyeUpToPerMin',
    'after',
    'A test by eye is enough up to a heart rate of',
    '/min',
    'Above it I ask for a strip.',
  ],
  [
    'mapTellBelowMmHg',
    'after',
    'Reading says “tell the clinician”: mean below',
    'mmHg',
    'Hypotension under anaesthesia: mean below 60 to 70 (AAHA 2020).',
  ],
  [
    'sapTellAboveMmHg',
    'after',
    'Reading says “tell the clinician”: systolic above',
    'mmHg',
    'Severe in conscious animals: 180 and above (ACVIM 2018).',
  ],
  [
    'sapTellBelowMmHg',
    'after',
    'Reading says “tell the clinician”: systolic below',
    'mmHg',
    'Hypotension: systolic below 80 to 90 (AAHA 2020). Empty: never.',
  ],
  [
    'dapTellBelowMmHg',
    'after',
    'Reading says “tell the clinician”: diastolic below',
    'mmHg',
    'Hypotension under anaesthesia: diastolic below 40 (AAHA 2020). Empty: never.',
  ],
  ['maintenanceMlPerKgDay', 'after', 'A day’s fluid maintenance', 'mL/kg/day'],
  [
    'flushWarnPercent',
    'after',
    'Flushing: warn above this share of a day’s fluid',
    '%',
    '20 % or more of intake went to keeping devices open in children’s ICUs (Gaetani 2024).',
  ],
  ['heparinWarnUPerKgDay', 'after', 'Heparin from flushing: warn above', 'U/kg/day'],
  [
    'heparinAskAboveUPerMl',
    'after',
    'Heparin in the flush: a second look above',
    'U/mL',
    '1 U/mL keeps lines open longer in people (DiBartola); more than 5 is common practice to ask about.',
  ],
  ['heparinAskAboveSmallUPerMl', 'after', 'Heparin in the flush below 5 kg: a second look above', 'U/mL'],
  ['usualFlushSmallMl', 'after', 'Usual flush by hand, below 5 kg', 'mL'],
  ['usualFlushMiddleMl', 'after', 'Usual flush by hand, 5 to 15 kg', 'mL'],
  ['usualFlushLargeMl', 'after', 'Usual flush by hand, from 15 kg', 'mL'],
  [
    'flushAskAboveTimes',
    'after',
    'Volume of a flush by hand: a second look above, of the usual',
    'times',
    'Common practice.',
  ],
  [
    'flushAgainMin',
    'after',
    'A second flush asks first within',
    'min',
    'At most half the time between two flushes; 0: never asks.',
  ],
  ['faultAskMin', 'after', 'A fault left half way is asked after in', 'min'],
  ['sourceDeadMl', 'after', 'Left in a bag or syringe that counts as empty', 'mL'],
  ['holdMin', 'after', 'Hold pressure', 'min'],
  ['holdBleedingMin', 'after', 'Hold, femoral, brachial or bleeding disorder', 'min'],
  ['pulseFirstH', 'after', 'First pulse check after', 'h'],
  ['pulseNextDayH', 'after', 'Next-day pulse check after', 'h'],
  ['sourcePressureMmHg', 'after', 'Pressure bag at', 'mmHg'],
  ['runOutMarginMin', 'after', 'Change the source before it runs out by', 'min'],
  ['setEveryH', 'after', 'Transducer set every', 'h'],
  [
    'awayAskAfterH',
    'rounds',
    'Patient off the ward: asked after from',
    'h',
    'What waits for its return is asked for then.',
  ],
  ['handoverBeforeMin', 'rounds', 'Handover before the shift by', 'min'],
  ['handoverAcceptMin', 'rounds', 'Handover accepted within', 'min'],
  ['shiftEarlyMin', 'rounds', 'Shift duties count before its start by', 'min'],
  ['roundMin', 'rounds', 'One round: duties within', 'min'],
  ['nudgeGapMin', 'rounds', 'At most one reminder every', 'min'],
  ['lapsedAfterDays', 'audit', 'Practice lapses without a try at placing for', 'days'],
  [
    'failureAcceptablePercent',
    'audit',
    'Tries at placing that may fail',
    '%',
    'Learning curves are held against it. 20 % in people: Kestin 1995.',
  ],
  ['failureUnacceptablePercent', 'audit', 'Share failing that is not acceptable', '%'],
];

/** Every number of the policy, in the order of the form. */
export const policyNumbers: readonly PolicyNumber[] = rows.map(([id, group, label, unit, hint]) => ({
  id,
  group,
  label,
  unit,
  ...boundsOf(id),
  ...(hint === undefined ? {} : { hint }),
}));

/** What the policy's schema says of a number. */
function boundsOf(id: string): Pick<PolicyNumber, 'min' | 'max' | 'whole' | 'mayBeOff'> {
  const [key = '', step = ''] = id.split('.');
  let schema: unknown = (wardPolicySchema.shape as Readonly<Record<string, unknown>>)[key];
  if (schema instanceof z.ZodObject) schema = schema.shape[step];
  if (schema instanceof z.ZodDefault) schema = schema.unwrap();
  const mayBeOff = schema instanceof z.ZodNullable;
  if (schema instanceof z.ZodNullable) schema = schema.unwrap();
  if (!(schema instanceof z.ZodNumber) || schema.minValue === null || schema.maxValue === null)
    throw new Error(`the ward policy has no number ${id} with bounds`);
  const { minValue: min, maxValue: max, isInt: whole } = schema;
  return { min, max, whole, ...(mayBeOff ? { mayBeOff } : {}) };
}

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
