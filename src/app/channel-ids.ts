/** One channel of one workspace had another id from some instant on: what it was, and what it is. */
export interface ChangedId {
  team: string;
  old: string;
  now: string;
}

/** Keeps which channels the platform gave another id. */
export interface ChannelIdShelf {
  /** Answers or throws within some hundred ms: an acknowledgement waits for it. */
  all(): Promise<ChangedId[]>;
  /** Keeps one; the same again changes nothing, and neither does the order in which several come. */
  put(changed: ChangedId): Promise<void>;
}

/**
 * Ids of channels on both sides of the door. A ward goes by the id its channel had when it began, in its record, its jobs and every
 * button that stands; what is said to the platform goes by the id of today. So a change of id moves nothing.
 */
export interface ChannelIds {
  /** The platform gave a channel another id. Throws `RecordUnavailable` where that could not be kept. */
  changed(changed: ChangedId): Promise<void>;
  /** The id by which the channel's ward goes: the first it had. `team` undefined: whichever workspace's. */
  first(team: string | undefined, channel: string): string;
  /** Ids that are none any more, with those of today; of one workspace, or of all. */
  today(team: string | undefined): ReadonlyMap<string, string>;
  /** Looks at what is kept where this process has not for a while; where it can't be read, what was known stands. */
  refresh(how?: { now: boolean }): Promise<void>;
}

/** How long a process goes by what it read, ms of real time; and from when it reads it anew beside the work, so that nobody waits for it. */
const freshMs = 5_000;
const againMs = 2_500;

/** The ids that channels have now, read anew as they age; kept in memory, since every command asks. */
export function channelIds(shelf: ChannelIdShelf, realNow: () => number): ChannelIds {
  let known: ChangedId[] = [];
  let readAt = Number.NEGATIVE_INFINITY;
  let reading: Promise<void> | null = null;
  const read = async () => {
    try {
      known = await shelf.all();
      readAt = realNow();
    } catch {
      // Redis is away, and whoever wants something of it hears so.
    } finally {
      reading = null;
    }
  };
  const of = (team: string | undefined) => known.filter((one) => team === undefined || one.team === team);
  /** Goes along the changes, each at most once. */
  const follow = (from: string, next: (id: string) => string | undefined): string => {
    const seen = new Set<string>();
    let id = from;
    for (let to = next(id); to !== undefined && !seen.has(to); to = next(id)) {
      seen.add(id);
      id = to;
    }
    return id;
  };
  return {
    async changed(changed) {
      await shelf.put(changed);
      readAt = Number.NEGATIVE_INFINITY;
      known = [...known, changed];
    },
    first: (team, channel) => follow(channel, (id) => of(team).findLast((one) => one.now === id)?.old),
    today: (team) =>
      new Map(
        of(team).map(({ old }) => [
          old,
          follow(old, (id) => of(team).findLast((one) => one.old === id)?.now),
        ]),
      ),
    async refresh({ now } = { now: false }) {
      const ageMs = realNow() - readAt;
      if (!now && ageMs < againMs) return;
      reading ??= read();
      if (now || ageMs >= freshMs) await reading;
    },
  };
}
