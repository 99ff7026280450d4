import { z } from 'zod';
import { failedTriesSchema } from '../placing/failed-tries.ts';
import { wardPolicySchema } from '../policy/ward-policy.ts';
import type { EntryHead } from '../record/entry.ts';
import { shutReasons } from './channel.ts';

const instant = z.number().int().nonnegative();
const userId = z.string().min(1).max(40);

const bodies = {
  policySet: z.object({ policy: wardPolicySchema }),
  onCallSet: z.object({ user: userId }),
  /** `for`: the shift start it was compiled for, ms; `auto`: posted by itself and so to be accepted. */
  handedOver: z.object({ for: instant, auto: z.boolean(), lines: z.number().int().nonnegative() }),
  /** `readBack`: the lines to watch that were read back; absent in older records, which did not ask. */
  handoverAccepted: z.object({
    for: instant,
    readBack: z.array(z.string().min(1).max(20)).max(500).optional(),
  }),
  /** Nobody accepted in time and the ward was told so. */
  handoverNudged: z.object({ for: instant }),
  /** The bot was down from `from` to `to`; `missed` reminders came due meanwhile. */
  wasDown: z.object({ from: instant, to: instant, missed: z.number().int().nonnegative() }),
  /** Buttons and commands have not been taken since `from`; reminders went on. */
  commandsLost: z.object({ from: instant }),
  /** They are taken again; they were not from `from` to `to`. */
  commandsBack: z.object({ from: instant, to: instant }),
  /** Tries at placing a line that came to no line; those before one that did are here too. */
  triesFailed: failedTriesSchema,
  /** Tries recorded in error are taken out of account; `target` is the number of their entry, from 1 in the ward's log. */
  triesStruck: z.object({ target: z.number().int().positive() }),
  /**
   * From `from`, or from when it was recorded, until `until` (ms), what would go to `away` goes to `by` instead. `by` the same
   * as `away`: they are there in that time.
   */
  coverSet: z.object({ away: userId, by: userId, from: instant.optional(), until: instant }),
  /** People were told that a cover began or is over; `target` is the number of its entry, from 1 in the ward's log. */
  coverTold: z.object({ target: z.number().int().positive(), what: z.enum(['begun', 'over']) }),
  /** Who is on call, or a cover, was set in error: what stood before stands again. `target`: the number of the entry that set it. */
  takenBack: z.object({ target: z.number().int().positive() }),
  /** The audit of the time from `from` up to `to` was posted by itself. */
  audited: z.object({ from: instant, to: instant }),
  /** Nothing can be posted in the ward’s channel; recorded again where only the reason is another. */
  channelShut: z.object({ why: z.enum(shutReasons) }),
  /** It can be posted in again. */
  channelOpened: z.object({}),
  /** Somebody was told by direct message that the channel is shut. */
  channelTold: z.object({ user: userId }),
  /** A direct message to somebody could not be delivered, and no later one would be: nobody reads there. */
  unreached: z.object({ user: userId }),
} as const;

type Bodies = { [K in keyof typeof bodies]: z.infer<(typeof bodies)[K]> };
/** What can be recorded of a ward as a whole. */
export type WardEntryKind = keyof Bodies;
/** A ward’s entry before it has a head: what is recorded, without who and when. */
export type WardDraft = { [K in WardEntryKind]: { kind: K; body: Bodies[K] } }[WardEntryKind];

/** One thing recorded of a ward as a whole; a ward's log is a list of these, as a line's is of entries. */
export type WardEntry = { [K in WardEntryKind]: EntryHead & { kind: K; body: Bodies[K] } }[WardEntryKind];

/** All kinds of a ward’s entries, in the order of their schemas. */
export const wardEntryKinds = Object.keys(bodies) as WardEntryKind[];

/** Parses a ward’s entry read from outside; the only way one comes in. */
export const wardEntrySchema = z.discriminatedUnion(
  'kind',
  wardEntryKinds.map((kind) =>
    z.object({
      at: instant,
      told: instant,
      by: userId,
      via: z.enum(['command', 'button', 'form', 'bot']),
      kind: z.literal(kind),
      body: bodies[kind],
    }),
  ) as unknown as [z.ZodObject<{ kind: z.ZodLiteral<WardEntryKind> }>],
) as unknown as z.ZodType<WardEntry>;
