import { type ByKind, byKind } from '../by-kind.ts';
import type { FailedTries } from '../placing/failed-tries.ts';
import type { WardPolicy } from '../policy/ward-policy.ts';
import { dayMs } from '../time.ts';
import type { ChannelShut } from './channel.ts';
import { type Cover, coversAfter } from './cover.ts';
import { type Unreached, unreachedAfter } from './unreached.ts';
import type { WardEntry, WardEntryKind } from './ward-entry.ts';

/** A handover as it was posted last (`postedAt`, ms) for the shift that starts at `for` (ms). `auto`: by itself, and so to be accepted. */
export interface Handover {
  for: number;
  auto: boolean;
  postedAt: number;
  /** `readBack`: the lines to watch that were read back then; absent where nobody was asked to. */
  accepted: { at: number; by: string; readBack?: string[] } | null;
  nudgedAt: number | null;
}

/** Failed tries with the number of their entry in the ward's log, when they were made, when recorded (ms), and by whom. */
export type RecordedTries = FailedTries & { number: number; at: number; told: number; by: string };

/** What was set last, by whom and when it was recorded (ms), with what stood before: it may be taken back. */
export interface LastSet<Before> {
  /** The number of its entry in the ward's log, from 1. */
  number: number;
  by: string;
  told: number;
  before: Before;
}

/** Everything known of a ward as a whole: the fold of its log. */
export interface WardState {
  /** The ward's id: workspace and channel. */
  id: string;
  version: number;
  policy: WardPolicy;
  /** Number of policies this ward has had; 0 is the default it began with. */
  policyVersion: number;
  policySet: { at: number; by: string } | null;
  onCallSet: { user: string; at: number; by: string } | null;
  /** Who is or will be away and by whom they are covered; those that ended are dropped when the next is set. */
  covers: Cover[];
  /** The latest three posted by themselves and the latest three asked for, oldest first, and the last one accepted. */
  handovers: Handover[];
  /** Tries at placing that came to no line in the day before the latest of them was recorded, as they were recorded; twenty at most. */
  failedTries: RecordedTries[];
  /** What was set last of each; null where nothing was, or it was taken back. */
  lastSet: {
    onCall: LastSet<WardState['onCallSet']> | null;
    covers: LastSet<Cover[]> | null;
    policy: LastSet<WardPolicy> | null;
  };
  /** When the first of what was recorded of this ward happened, ms; null where nothing was. */
  begunAt: number | null;
  /** Up to when an audit was posted by itself, ms; null where none was. */
  auditedTo: number | null;
  /** Null while its channel can be posted in. */
  channelShut: ChannelShut | null;
  /** When the channel could be posted in again last, ms; null where it was never shut. */
  channelOpenedAt: number | null;
  /** Those whom a direct message could not reach, lately: see `isUnreached`. */
  unreached: Unreached[];
  /** When buttons and commands last failed, and when they were back (ms; null: not yet); null where they never did. */
  commandsLost: { from: number; backAt: number | null } | null;
}

/** Raised when the fold or the state's shape changes. */
export const wardFoldNumber = 10;

/** A ward nothing was recorded of yet. */
export function newWard(id: string, policy: WardPolicy): WardState {
  return {
    id,
    version: 0,
    policy,
    policyVersion: 0,
    policySet: null,
    onCallSet: null,
    covers: [],
    handovers: [],
    failedTries: [],
    lastSet: { onCall: null, covers: null, policy: null },
    begunAt: null,
    auditedTo: null,
    channelShut: null,
    channelOpenedAt: null,
    unreached: [],
    commandsLost: null,
  };
}

/** The state of a ward after one more entry of its log. */
export function foldWardNext(ward: WardState, entry: WardEntry): WardState {
  const number = ward.version + 1;
  return {
    ...ward,
    version: number,
    begunAt: Math.min(ward.begunAt ?? entry.at, entry.at),
    ...byKind(changes, entry, ward, number),
  };
}

/** What one entry changes of a ward; `number`: the entry's, in the ward's log. */
type Changes<Kind extends WardEntryKind> = ByKind<
  Extract<WardEntry, { kind: Kind }>,
  [ward: WardState, number: number],
  Partial<WardState>
>;

const whatIsSet: Changes<
  'policySet' | 'onCallSet' | 'coverSet' | 'coverTold' | 'takenBack' | 'triesFailed' | 'triesStruck'
> = {
  policySet: ({ at, by, told, body }, ward, number) => ({
    lastSet: { ...ward.lastSet, policy: { number, by, told, before: ward.policy } },
    policy: body.policy,
    policyVersion: ward.policyVersion + 1,
    policySet: { at, by },
    // Somebody may have been named anew in it.
    unreached: [],
  }),
  onCallSet: ({ at, by, told, body }, ward, number) => ({
    lastSet: { ...ward.lastSet, onCall: { number, by, told, before: ward.onCallSet } },
    onCallSet: { user: body.user, at, by },
    unreached: without(ward.unreached, body.user),
  }),
  coverSet: (entry, ward, number) => ({
    lastSet: { ...ward.lastSet, covers: { number, by: entry.by, told: entry.told, before: ward.covers } },
    covers: coversAfter(ward.covers, coverOfEntry(entry, number)),
    unreached: without(ward.unreached, entry.body.by),
  }),
  coverTold: ({ body }, { covers }) => {
    const told = body.what === 'begun' ? { startNotified: true } : { endNotified: true };
    return { covers: covers.map((cover) => (cover.number === body.target ? { ...cover, ...told } : cover)) };
  },
  takenBack: ({ body }, ward) => standingBefore(ward, body.target),
  triesFailed: ({ at, told, by, body }, ward, number) => ({
    failedTries: [...ward.failedTries, { ...body, number, at, told, by }]
      .filter((tries) => tries.at > told - dayMs)
      .slice(-20),
  }),
  triesStruck: ({ body }, { failedTries }) => ({
    failedTries: failedTries.filter((tries) => tries.number !== body.target),
  }),
};

const handoversAndAudits: Changes<'handedOver' | 'handoverAccepted' | 'handoverNudged' | 'audited'> = {
  handedOver: (entry, { handovers }) => {
    const before = handovers.find((handover) => handover.for === entry.body.for);
    const others = handovers.filter((handover) => handover.for !== entry.body.for);
    return { handovers: remembered([...others, postedAgain(before, entry)]) };
  },
  handoverAccepted: ({ at, by, body }, { handovers }) => ({
    handovers: handovers.map((handover) =>
      handover.for === body.for && handover.accepted === null
        ? { ...handover, accepted: { at, by, ...readBackOf(body) } }
        : handover,
    ),
  }),
  handoverNudged: ({ at, body }, { handovers }) => ({
    handovers: handovers.map((handover) =>
      handover.for === body.for ? { ...handover, nudgedAt: at } : handover,
    ),
  }),
  audited: ({ body }, { auditedTo }) => ({ auditedTo: Math.max(auditedTo ?? 0, body.to) }),
};

const whomItReaches: Changes<
  'wasDown' | 'commandsLost' | 'commandsBack' | 'channelShut' | 'channelOpened' | 'channelTold' | 'unreached'
> = {
  wasDown: () => ({}),
  commandsLost: ({ body }) => ({ commandsLost: { from: body.from, backAt: null } }),
  commandsBack: ({ body }) => ({ commandsLost: { from: body.from, backAt: body.to } }),
  channelShut: ({ at, body }, { channelShut }) => ({
    channelShut: { at, notified: [], ...channelShut, why: body.why },
  }),
  channelOpened: ({ at }) => ({ channelShut: null, channelOpenedAt: at }),
  channelTold: ({ body }, { channelShut }) =>
    channelShut ? { channelShut: { ...channelShut, notified: [...channelShut.notified, body.user] } } : {},
  unreached: ({ at, body }, { unreached }) => ({ unreached: unreachedAfter(unreached, body.user, at) }),
};

const changes: ByKind<WardEntry, [ward: WardState, number: number], Partial<WardState>> = {
  ...whatIsSet,
  ...handoversAndAudits,
  ...whomItReaches,
};

function without(unreached: readonly Unreached[], user: string): Unreached[] {
  return unreached.filter((one) => one.user !== user);
}

function readBackOf({ readBack }: { readBack?: string[] | undefined }): { readBack?: string[] } {
  return readBack === undefined ? {} : { readBack };
}

/** What stands again where what was set last is taken back; nothing where the entry `target` is not that. */
function standingBefore({ lastSet, covers }: WardState, target: number): Partial<WardState> {
  if (lastSet.onCall?.number === target)
    return { onCallSet: lastSet.onCall.before, lastSet: { ...lastSet, onCall: null } };
  if (lastSet.covers?.number !== target) return {};
  // What people were told of the others meanwhile stays told.
  const known = new Map(covers.map((cover) => [cover.number, cover]));
  const again = lastSet.covers.before.map((cover) => {
    const { startNotified = false, endNotified = false } = known.get(cover.number) ?? {};
    return {
      ...cover,
      startNotified: cover.startNotified || startNotified,
      endNotified: cover.endNotified || endNotified,
    };
  });
  return { covers: again, lastSet: { ...lastSet, covers: null } };
}

function coverOfEntry({ at, by, body }: WardEntry & { kind: 'coverSet' }, number: number): Cover {
  const from = Math.max(body.from ?? at, at);
  return {
    number,
    away: body.away,
    by: body.by,
    from,
    until: body.until,
    setBy: by,
    at,
    startNotified: from === at,
    endNotified: false,
  };
}

/** A handover posted once more for the same shift stays accepted, and owed an acceptance, as it was. */
function postedAgain(
  before: Handover | undefined,
  { at, body }: WardEntry & { kind: 'handedOver' },
): Handover {
  const posted = { for: body.for, auto: body.auto, postedAt: at, accepted: null, nudgedAt: null };
  return before ? { ...before, auto: before.auto || body.auto, postedAt: at } : posted;
}

/**
 * Each sort by itself, so that handovers asked for in a busy night push out neither the shift's own, which would then
 * be posted anew, nor the last acceptance, which says whom the lines are with.
 */
function remembered(handovers: readonly Handover[]): Handover[] {
  const latest = (auto: boolean) => handovers.filter((handover) => handover.auto === auto).slice(-3);
  const kept = new Set([...latest(true), ...latest(false)]);
  const last = lastAccepted(handovers);
  return handovers.filter((handover) => kept.has(handover) || handover === last);
}

/** The handover accepted last, whichever was posted last; null when none was. */
export function lastAccepted(handovers: readonly Handover[]): Handover | null {
  return handovers.reduce<Handover | null>(
    (last, one) => (one.accepted && one.accepted.at >= (last?.accepted?.at ?? 0) ? one : last),
    null,
  );
}

/** The state of a ward from its whole log. */
export function foldWard(id: string, policy: WardPolicy, log: readonly WardEntry[]): WardState {
  return log.reduce(foldWardNext, newWard(id, policy));
}
