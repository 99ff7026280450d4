import { z } from 'zod';
import { type DutyKind, isClinicians } from '../duty-kind.ts';
import { longestGapDays, usualGapDays } from '../patient/stay.ts';
import { type Caution, cautions } from '../placing/screening.ts';
import { shiftPlanSchema } from '../shifts/shift-plan.ts';
import { wallTimeSchema } from '../shifts/wall-time.ts';
import { againForSchema } from './again-for.ts';
import { mayBeDanger } from './usual-urgency.ts';

const minutes = (min: number, max: number) => z.number().int().min(min).max(max);
const hours = (min: number, max: number) => z.number().min(min).max(max);
const userId = z.string().min(1).max(40);

/** Cautions for which a ward wants a clinician's decision unless it says otherwise: common practice, no source. */
const usualOverrideFor: readonly Caution[] = ['bleeding disorder', 'no pulse or collateral flow'];

/** Why numbers that are each within their bounds don't go together. */
export type PolicyRefusal =
  | 'limit before warning'
  | 'clinician before nurse'
  | 'bad not above good'
  | 'hold too short';

/**
 * What a ward has agreed on. Every number is the ward's to change within the bounds here; the defaults are common
 * practice without a published source unless `docs/defaults.md` names one.
 */
export const wardPolicySchema = z
  .object({
    shifts: shiftPlanSchema,
    /** Manual flushing: minutes from one flush to the next. */
    flushEveryMin: minutes(15, 360),
    /** Hours from one dressing to the next: once or twice daily, never longer. */
    redressEveryH: z.union([z.literal(12), z.literal(24)]),
    siteCheckEveryH: hours(1, 12),
    /** The same where little else feeds the part below: cats, and lines in tail or ear. */
    siteCheckCloseEveryH: hours(0.5, 12).default(2),
    /** Cat: the ward and the clinician on call are told at the warning; the limit cannot be snoozed. */
    catDwellWarningH: hours(1, 24),
    catDwellLimitH: hours(2, 24),
    /** Dogs and others: how often a clinician is asked whether the line is still needed. */
    stillNeededEveryH: hours(12, 72),
    /** The same for ear lines, rabbits and ferrets. */
    stillNeededSoonEveryH: hours(4, 72).default(12),
    /** A patient off the ward for longer than this is asked after, and what waited for its return waits no longer. */
    awayAskAfterH: hours(1, 24).default(4),
    /** Transducer, tubing and flush device. */
    setEveryH: hours(24, 96),
    holdMin: minutes(1, 30),
    holdBleedingMin: minutes(1, 60),
    pulseFirstH: hours(0.5, 6),
    pulseNextDayH: hours(12, 48),
    /** The source is changed this long before it is computed to run out. */
    runOutMarginMin: minutes(5, 120),
    sourcePressureMmHg: z.number().min(100).max(350),
    /** A zero found further off than this marks the readings before it, mmHg. */
    driftLimitMmHg: z.number().min(1).max(20).default(3),
    /** Blood taken by the line in 24 h that a sample is warned of, % of the circulating volume. */
    bloodWarnPercent: z.number().min(1).max(15).default(5),
    /** Days after an animal's last line came out from which a line of its name begins a new stay. */
    newStayAfterDays: z.number().int().min(1).max(longestGapDays).default(usualGapDays),
    /** A reading beyond these says "tell the clinician", mmHg. */
    mapTellBelowMmHg: z.number().min(30).max(100).default(60),
    sapTellAboveMmHg: z.number().min(120).max(300).default(180),
    /** Null: nobody is told. */
    sapTellBelowMmHg: z.number().min(40).max(120).nullable().default(90),
    dapTellBelowMmHg: z.number().min(20).max(80).nullable().default(40),
    /** What a day's fluid is reckoned with, mL/kg, and the share of it that flushing is warned of, %. */
    maintenanceMlPerKgDay: z.number().min(20).max(150).default(50),
    flushWarnPercent: z.number().min(5).max(100).default(20),
    heparinWarnUPerKgDay: z.number().min(5).max(500).default(100),
    /** Heparin in the flush above which somebody must look at the label again, U/mL; and below 5 kg. */
    heparinAskAboveUPerMl: z.number().min(0).max(100).default(5),
    heparinAskAboveSmallUPerMl: z.number().min(0).max(100).default(1),
    /** A flush by hand, where nobody records its volume, mL: below 5 kg, from 5 kg, from 15 kg. */
    usualFlushSmallMl: z.number().min(0.1).max(5).default(0.5),
    usualFlushMiddleMl: z.number().min(0.1).max(10).default(1),
    usualFlushLargeMl: z.number().min(0.1).max(10).default(2),
    /** A flush by hand above so many times the usual volume is looked at again before it is recorded. */
    flushAskAboveTimes: z.number().min(2).max(40).default(4),
    /** A flush by hand this soon after another is asked about before it is recorded, min; 0: never. */
    flushAgainMin: minutes(0, 30).default(10),
    /** A fault left half way is asked after so long from its latest step. */
    faultAskMin: minutes(5, 10).default(5),
    /** What a bag or syringe still holds when it counts as empty, mL. */
    sourceDeadMl: z.number().min(0).max(50).default(0),
    /** Natural frequency below which a line is too slow for any pulse, Hz; and wanted, in multiples of the heart rate. */
    testTooSlowHz: z.number().min(1).max(20).default(7),
    testWantedMultiple: z.number().min(4).max(12).default(8),
    /** A measured line that is expected to be further off than this in systolic or diastolic marks the reading, mmHg. */
    lineErrorLimitMmHg: z.number().min(2).max(20).default(5),
    /** Fastest heart for which a test that was judged by eye is enough, beats per minute. */
    byEyeUpToPerMin: z.number().int().min(60).max(300).default(160),
    /** Minutes before a shift's start at which its zero, test and source check already count. */
    shiftEarlyMin: minutes(0, 120),
    /** Minutes a nurse has for what is due "at once" before the ward is nudged. */
    atOnceMin: minutes(0, 30),
    /** Lateness at which the nurse, then the clinician on call, is told by direct message. */
    flushGraceMin: z.object({ nurse: minutes(1, 60), clinician: minutes(2, 120) }),
    graceMin: z.object({ nurse: minutes(1, 120), clinician: minutes(2, 240) }),
    /** The clinician is told again this often, until claimed or done; a claim buys `claimMin`. */
    repeatMin: minutes(5, 120),
    claimMin: minutes(5, 120),
    /** "Later" moves a duty's reminder once, by this much. */
    laterFlushMin: minutes(1, 30),
    laterMin: minutes(1, 60),
    /** Duties within this much of each other make one round, one message. */
    roundMin: minutes(0, 60),
    /** A ward is nudged at most this often, dwell and faults excepted. */
    nudgeGapMin: minutes(0, 30),
    handoverBeforeMin: minutes(5, 60),
    handoverAcceptMin: minutes(5, 120),
    /** Who may answer a dwell question or let a duty go, besides whoever is on call. */
    clinicians: z.array(userId).max(50),
    /** Who leads the ward: sees everybody's learning curve in the audit; null: nobody does. */
    lead: userId.nullable().default(null),
    /** Without a try at placing for this long, somebody's practice has lapsed, days. */
    lapsedAfterDays: z.number().int().min(14).max(730).default(90),
    /** Share of tries at placing that may fail, and that may not, %: what a learning curve is held against. */
    failureAcceptablePercent: z.number().min(1).max(90).default(20),
    failureUnacceptablePercent: z.number().min(2).max(95).default(40),
    /** Care that is a danger on this ward from when it is due: told to the clinician at any hour. */
    dangerFor: z.array(z.enum(mayBeDanger)).max(mayBeDanger.length).default([]),
    /** The ward's own words for what to do when a finding comes back; where it has none the usual ones stand. */
    againFor: againForSchema.default({}),
    /** When late care may be told to a clinician, by the ward's clock. */
    waking: z.object({ from: wallTimeSchema, to: wallTimeSchema }).default({ from: '07:00', to: '22:00' }),
    /** When the clinician is asked the day's questions, by the ward's clock. */
    questionsAt: wallTimeSchema.default('09:00'),
    /** Who is told when whoever is on call does not answer, or nobody is; null: nobody. */
    backup: userId.nullable().default(null),
    /** The nurse in charge, by the name of the shift; where there is none, the ward's lead is told of late care. */
    inCharge: z.record(z.string(), userId).default({}),
    /** Cautions in spite of which a line is placed only by a clinician's decision. */
    overrideFor: z
      .array(z.enum(cautions))
      .max(cautions.length)
      .default([...usualOverrideFor]),
    /** On call by the name of the shift, when nobody was put on call by hand in that shift. */
    rota: z.record(z.string(), userId),
  })
  .superRefine((policy, ctx) => {
    const wrong = (message: PolicyRefusal, path: string, params: Record<string, number> = {}) =>
      ctx.addIssue({ code: 'custom', message, path: [path], params });
    const { catDwellLimitH: limitH, catDwellWarningH: warningH } = policy;
    const { failureUnacceptablePercent: bad, failureAcceptablePercent: good } = policy;
    if (limitH <= warningH) wrong('limit before warning', 'catDwellLimitH', { limitH, warningH });
    for (const grace of ['flushGraceMin', 'graceMin'] as const)
      if (policy[grace].clinician <= policy[grace].nurse) wrong('clinician before nurse', grace);
    if (bad <= good) wrong('bad not above good', 'failureUnacceptablePercent', { bad, good });
    if (policy.holdBleedingMin < policy.holdMin) wrong('hold too short', 'holdBleedingMin');
  });
/** What a ward has agreed on; units are in the names. */
export type WardPolicy = z.infer<typeof wardPolicySchema>;

/** The policy a new ward starts with, in zone `zone` (IANA name): the schema's defaults, and these of what has none there. */
export function defaultPolicy(zone: string): WardPolicy {
  return wardPolicySchema.parse({
    shifts: {
      zone,
      shifts: [
        { name: 'day', startsAt: '07:00' },
        { name: 'night', startsAt: '19:00' },
      ],
    },
    flushEveryMin: 60,
    redressEveryH: 12,
    siteCheckEveryH: 4,
    catDwellWarningH: 6,
    catDwellLimitH: 8,
    stillNeededEveryH: 24,
    setEveryH: 96,
    holdMin: 5,
    holdBleedingMin: 10,
    pulseFirstH: 1,
    pulseNextDayH: 24,
    runOutMarginMin: 30,
    sourcePressureMmHg: 300,
    shiftEarlyMin: 30,
    atOnceMin: 10,
    flushGraceMin: { nurse: 10, clinician: 20 },
    graceMin: { nurse: 15, clinician: 30 },
    repeatMin: 30,
    claimMin: 30,
    laterFlushMin: 10,
    laterMin: 30,
    roundMin: 10,
    nudgeGapMin: 5,
    handoverBeforeMin: 15,
    handoverAcceptMin: 30,
    clinicians: [],
    rota: {},
  } satisfies z.input<typeof wardPolicySchema>);
}

/** Minutes of lateness at which nurse and clinician are told of a duty of this kind. */
export function graceOf(policy: WardPolicy, kind: DutyKind): { nurse: number; clinician: number } {
  return kind === 'flush' ? policy.flushGraceMin : policy.graceMin;
}

/** Minutes that "later" buys for a duty of this kind; 0 where it cannot be put off. */
export function laterMinOf(policy: WardPolicy, kind: DutyKind): number {
  if (isClinicians(kind) || kind === 'dwellLimit' || kind === 'dwellWarning' || kind === 'hold') return 0;
  return kind === 'flush' ? policy.laterFlushMin : policy.laterMin;
}
