import { z } from 'zod';
import { dutyKinds } from '../duty-kind.ts';
import { swingDefinitions } from '../dynamic-response/damping-coefficient.ts';
import { faultSigns } from '../fault/fault-questions.ts';
import { gauges, sides, sites } from '../line/anatomy.ts';
import { patientSchema } from '../patient/patient.ts';
import { mostTries } from '../placing/failed-tries.ts';
import { screeningSchema } from '../placing/screening.ts';
import { targetsSchema } from '../reading/targets.ts';
import { removalReasons } from './removal-reasons.ts';
import { awayPlaces } from './spells.ts';

const instant = z.number().int().nonnegative();
const userId = z.string().min(1).max(40);
const freeText = z.string().max(500);
const duty = z.enum(dutyKinds);
const heparinUPerMl = z.number().nonnegative().max(100);

/** A line's flush source. Volume in mL as it was at the entry's time, rate in mL/h, pressure in mmHg. */
export const flushSourceSchema = z.object({
  kind: z.enum(['pressure bag', 'syringe']),
  volumeMl: z.number().positive().max(3000).optional(),
  rateMlPerH: z.number().positive().max(50).optional(),
  pressureMmHg: z.number().nonnegative().max(400).optional(),
  /** Heparin in the flush, U/mL; absent where none was recorded. */
  heparinUPerMl: heparinUPerMl.optional(),
  /** Who looked at the label once more, where it is stronger than the ward's. */
  heparinSeenBy: userId.optional(),
});
/** A line’s flush source, as `flushSourceSchema` has it: mL, mL/h, mmHg, U/mL. */
export type FlushSource = z.infer<typeof flushSourceSchema>;

/** What was seen at the site and below it. `true` names a finding; an absent key was looked at and unremarkable. */
export const siteFindingSchema = z.object({
  swelling: z.boolean().optional(),
  pain: z.boolean().optional(),
  ooze: z.boolean().optional(),
  cold: z.boolean().optional(),
  noPulse: z.boolean().optional(),
  soiled: z.boolean().optional(),
});
/** What was seen at the site and below it, as `siteFindingSchema` has it. */
export type SiteFinding = z.infer<typeof siteFindingSchema>;

/** A finding that a clinician must hear of at once; soiling only asks for a new dressing. */
export function isAlarming(finding: SiteFinding): boolean {
  return Boolean(finding.swelling || finding.pain || finding.ooze || finding.cold || finding.noPulse);
}

/** A limb that a clinician must hear of at once. */
export function isLimbAlarming({ pulse, cold }: { pulse: string; cold?: boolean | undefined }): boolean {
  return pulse === 'absent' || cold === true;
}

/** What a fast-flush test showed, as a person judged it. */
export const testVerdicts = ['normal', 'underdamped', 'overdamped', 'cannot tell'] as const;

const bodies = {
  /**
   * `transducer`: false for a capped line that only gives samples; it has one where nothing was recorded.
   * `operator`: who placed it. `tries`: theirs at this artery, including the successful one; absent where not recorded.
   * `animal`: which animal it is, the same for each of its lines in one stay; absent in older records, see `animalsOf`.
   */
  placed: z.object({
    patient: patientSchema,
    animal: z.string().min(1).max(200).optional(),
    site: z.enum(sites),
    side: z.enum(sides).optional(),
    gauge: z.union(gauges.map((g) => z.literal(g))),
    transducer: z.boolean().optional(),
    flushMode: z.enum(['manual', 'continuous']),
    source: flushSourceSchema.optional(),
    indication: z.string().max(120).optional(),
    nurse: userId,
    operator: userId.optional(),
    tries: z.number().int().min(1).max(mostTries).optional(),
    screening: screeningSchema.optional(),
  }),
  /** `openToAirMmHg`: what the monitor showed open to air before it was zeroed. */
  zeroed: z.object({ openToAirMmHg: z.number().min(-300).max(300).optional() }),
  /** `belowHeartCm`: how far the transducer was found below the heart; negative is above. */
  levelled: z.object({ belowHeartCm: z.number().min(-100).max(100).optional() }),
  /** `strip`: what was read off it, as `measuredTest` takes it; what follows from it is derived. */
  fastFlushTested: z.object({
    verdict: z.enum(testVerdicts),
    heartRatePerMin: z.number().min(20).max(400).optional(),
    /** Read from an uploaded strip: natural frequency, Hz, and damping; null where it could not be measured. */
    read: z.object({ naturalHz: z.number().nullable(), damping: z.number().nullable() }).optional(),
    strip: z
      .object({
        paperMmPerS: z.number(),
        squareMm: z.union([z.literal(1), z.literal(5)]).nullable(),
        cycleLength: z.number().nullable(),
        cycles: z.number().int(),
        definition: z.enum(swingDefinitions),
        heights: z.object({ first: z.number(), next: z.number().nullable() }).nullable(),
      })
      .optional(),
  }),
  /**
   * A flush by hand. `usual`: nobody recorded its volume, it is what the ward had set as usual for the weight then. `again`: the
   * number of the flush just before, in spite of which it was recorded. `heparinUPerMl`: in the syringe, where it was recorded.
   * `volumeSeenBy`: who looked again at a volume that is large for the animal.
   */
  flushed: z.object({
    volumeMl: z.number().positive().max(20).optional(),
    usual: z.boolean().optional(),
    volumeSeenBy: userId.optional(),
    again: z.number().int().positive().optional(),
    heparinUPerMl: heparinUPerMl.optional(),
    heparinSeenBy: userId.optional(),
  }),
  flushModeChanged: z.object({
    mode: z.enum(['manual', 'continuous']),
    source: flushSourceSchema.optional(),
  }),
  /** `newSet`: transducer, tubing and flush device were changed with it. */
  sourceChanged: z.object({ source: flushSourceSchema, newSet: z.boolean() }),
  sourceChecked: z.object({
    pressureMmHg: z.number().nonnegative().max(400).optional(),
    volumeLeftMl: z.number().nonnegative().max(3000).optional(),
  }),
  redressed: z.object({ finding: siteFindingSchema.optional() }),
  siteChecked: z.object({ finding: siteFindingSchema, note: freeText.optional() }),
  /**
   * `flushed`: whether the line was flushed after; absent where nobody said, and then a flush is due as if it was not.
   * `discardReturned` absent: nobody said, and the discard counts as lost. `flushMl`: what the flush after it gave;
   * `flushUsual`: the ward's usual volume, nobody recorded another.
   */
  sampled: z.object({
    volumeMl: z.number().positive().max(60),
    discardMl: z.number().nonnegative().max(20).optional(),
    discardReturned: z.boolean().optional(),
    flushed: z.boolean().optional(),
    flushMl: z.number().positive().max(20).optional(),
    flushUsual: z.boolean().optional(),
  }),
  reading: z.object({
    sapMmHg: z.number().min(0).max(400),
    dapMmHg: z.number().min(0).max(400),
    mapMmHg: z.number().min(0).max(400).optional(),
    heartRatePerMin: z.number().min(20).max(400).optional(),
    /** What a cuff showed at the same time, mmHg. */
    cuff: z
      .object({
        sapMmHg: z.number().min(0).max(400).optional(),
        dapMmHg: z.number().min(0).max(400).optional(),
        mapMmHg: z.number().min(0).max(400).optional(),
      })
      .optional(),
  }),
  /** Joined to a transducer, for the first time or again; how it is flushed from then on. `newSet`: one not used on it before. */
  transducerJoined: z.object({
    newSet: z.boolean(),
    flushMode: z.enum(['manual', 'continuous']),
    source: flushSourceSchema.optional(),
  }),
  /**
   * Taken off its transducer and capped; from then on flushed by hand. `flushed`: it was, as it was capped, with `flushMl`;
   * `flushUsual`: the ward's usual volume, nobody recorded another.
   */
  capped: z.object({
    flushed: z.boolean(),
    flushMl: z.number().positive().max(20).optional(),
    flushUsual: z.boolean().optional(),
  }),
  /** The patient was taken off the ward. `with`: who has it from then on; recorded of one that is away already, where it went on to. */
  leftWard: z.object({ to: z.enum(awayPlaces), with: userId.optional() }),
  /** It arrived there. `with`: who has it from then on. */
  arrived: z.object({ with: userId.optional() }),
  /** It is back on the ward. `with`: who took it back; the nurse of the line where nobody is named. */
  returned: z.object({ with: userId.optional() }),
  /** `bloodLostMl`: what a line that came apart bled, as near as somebody could guess; 0: none was seen. */
  disturbed: z.object({
    how: z.enum(['disconnected', 'moved', 'repositioned']),
    bloodLostMl: z.number().nonnegative().max(5000).optional(),
  }),
  faultOpened: z.object({ sign: z.enum(faultSigns) }),
  /** One question of a fault's path and its answer, by their ids: `flat.kink`, `freed`. */
  faultStep: z.object({ step: freeText, answer: freeText }),
  /** `sign`: which open fault it closes, each where absent. `byPath`: the path's own end closed it, not a person's choice. */
  faultClosed: z.object({
    resolved: z.boolean(),
    sign: z.enum(faultSigns).optional(),
    byPath: z.boolean().optional(),
  }),
  /** `from`: the start of the shift it is planned for, ms; at once where absent. */
  assigned: z.object({ nurse: userId, from: instant.optional() }),
  claimed: z.object({ duties: z.array(z.tuple([duty, instant])).min(1), until: instant }),
  snoozed: z.object({ duties: z.array(z.tuple([duty, instant])).min(1), until: instant }),
  /** A clinician lets a duty go until `until`; it is due again then. */
  waived: z.object({ duty, dueAt: instant, reason: freeText.min(3), until: instant }),
  /** A clinician's targets for this animal, in place of the ward's limits until `until`, ms. */
  targetsSet: targetsSchema.extend({ reason: freeText.min(3), until: instant }),
  /** The targets end now; the ward's limits hold again. */
  targetsEnded: z.object({}),
  /**
   * `target` is the number of the entry that is put right, counted from 1 in the line's log. A strike takes the entry
   * out of account; `body` replaces the values named in it, null clears one. Nothing is deleted: the original stays in the log. A placing
   * that is struck was registered in error: there is no such line. `seen`: how many entries of its log whoever struck it
   * had seen then; anything recorded since refuses the strike.
   */
  amended: z.object({
    target: z.number().int().positive(),
    at: instant.optional(),
    strike: freeText.min(3).optional(),
    seen: z.number().int().positive().optional(),
    body: z.record(z.string(), z.unknown()).optional(),
  }),
  noted: z.object({ text: freeText, cannot: z.tuple([duty, instant]).optional() }),
  /** `pieceFound`: the tip was not whole, and whatever was missing was found. */
  removed: z.object({
    reason: z.enum(removalReasons),
    tipWhole: z.boolean().optional(),
    pieceFound: z.boolean().optional(),
    finding: siteFindingSchema.optional(),
  }),
  pulseChecked: z.object({
    pulse: z.enum(['present', 'weak', 'absent', 'cannot tell']),
    cold: z.boolean().optional(),
  }),
  /** The hold after removal ended and the puncture was looked at; still oozing, it is held again. */
  holdEnded: z.object({ oozing: z.boolean() }),
  nudged: z.object({
    duties: z.array(z.tuple([duty, instant])).min(1),
    /** Whose visit the message was for; absent where it spoke for itself, and of one recorded by an older version. */
    nurse: userId.optional(),
  }),
  escalated: z.object({
    duties: z.array(z.tuple([duty, instant])).min(1),
    to: z.enum(['nurse', 'lead', 'clinician', 'backup']),
    /** Whom it went to; absent when nobody was on call and the channel was told instead. */
    user: userId.optional(),
    /** It was added to the message made then, ms, and no phone rang; absent where a new message was made. */
    joins: instant.optional(),
  }),
} as const;

type Bodies = { [K in keyof typeof bodies]: z.infer<(typeof bodies)[K]> };
/** What can be recorded of one line. */
export type EntryKind = keyof Bodies;
/** All kinds of entries, in the order of their schemas. */
export const entryKinds = Object.keys(bodies) as EntryKind[];

/** By which surface an entry came in; `bot` wrote it itself. */
export const surfaces = ['command', 'button', 'form', 'bot'] as const;

/** Who, when it happened, when it was recorded (both ms since the epoch), by which surface. */
export interface EntryHead {
  at: number;
  told: number;
  by: string;
  via: (typeof surfaces)[number];
}

/** An entry of one kind, or of several. */
export type EntryOf<K extends EntryKind> = K extends EntryKind
  ? EntryHead & { kind: K; body: Bodies[K] }
  : never;

/** One thing recorded of one line. A line's log is a list of these; nothing in it is ever changed or deleted. */
export type Entry = EntryOf<EntryKind>;

/** An entry before it has a head: what somebody records, without who and when. */
export type EntryDraft = { [K in EntryKind]: { kind: K; body: Bodies[K] } }[EntryKind];
/** A draft of one kind. */
export type DraftOf<K extends EntryKind> = { kind: K; body: Bodies[K] };

const headShape = { at: instant, told: instant, by: userId, via: z.enum(surfaces) };

/** Parses an entry read from outside; the only way one comes in. */
export const entrySchema = z.discriminatedUnion(
  'kind',
  entryKinds.map((kind) =>
    z.object({ ...headShape, kind: z.literal(kind), body: bodies[kind] }),
  ) as unknown as [z.ZodObject<{ kind: z.ZodLiteral<EntryKind> }>],
) as unknown as z.ZodType<Entry>;

/** Parses the body of one kind; use it where a surface's words become a draft entry. */
export function bodySchema<K extends EntryKind>(kind: K): z.ZodType<Bodies[K]> {
  return bodies[kind] as unknown as z.ZodType<Bodies[K]>;
}
