import type { Change, Post } from '../../src/app/ports.ts';
import { dutyStatus } from '../../src/domain/duties/duty-status.ts';
import type { DutyKind } from '../../src/domain/duty-kind.ts';
import type { LineState } from '../../src/domain/record/line-state.ts';
import type { Shown } from './platform-model.ts';
import type { World } from './world.ts';

const minuteMs = 60_000;
/** A message stands, or is brought up to date, within this of being asked for while nothing hinders it, ms. */
export const shownWithinMs = 4 * minuteMs;

/** A copy is taken away within this of when somebody could look, ms; while its ward's messages are being rewritten, later. */
const aloneWithinMs = 4 * minuteMs;
const busyMs = minuteMs;
const aloneAtLastMs = 30 * minuteMs;

/** What stands on the platform: everything that was asked for, once, and asking for nothing that is done. */
export class Standing {
  /** Every post that was ever asked for. */
  readonly posts = new Map<string, { wardId: string; post: Post; askedAt: number }>();
  /** The messages of each post. */
  readonly shown = new Map<string, Shown[]>();
  private readonly ofLine = new Map<string, Set<string>>();
  /** Posts that need not come: a newer one says it all, or the platform takes none for that person. */
  private readonly letGoOf = new Set<string>();
  private readonly twice = new Set<string>();
  /** When a message of a ward was last rewritten or taken away, ms. */
  private readonly rewrittenAt = new Map<string, number>();
  private readonly world: World;

  constructor(world: World) {
    this.world = world;
  }

  committed(wardId: string, change: Change): void {
    const { time } = this.world.wire;
    const now = time.now;
    for (const post of change.posts) {
      this.posts.set(idOf(wardId, post.key), { wardId, post, askedAt: now });
      time.after(shownWithinMs, () => this.mustStand(wardId, post.key, now));
    }
    for (const { id, entries } of change.lines)
      if (entries.some(({ by }) => by !== 'bot'))
        time.after(shownWithinMs, () => this.mustNotAsk(wardId, id, now));
  }

  letGo(wardId: string, key: string): void {
    this.letGoOf.add(idOf(wardId, key));
  }

  mayComeTwice(wardId: string, key: string): void {
    this.world.tally.add('messages that may stand twice, and were told of');
    this.twice.add(idOf(wardId, key));
    this.world.wire.time.after(aloneWithinMs, () => this.mustBeAlone(wardId, key, this.world.wire.time.now));
  }

  /** A copy that was taken away. */
  gone(message: Shown): void {
    const id = idOf(message.ward, message.key);
    this.rewritten(message);
    this.world.tally.add('copies taken away');
    this.shown.set(
      id,
      (this.shown.get(id) ?? []).filter((one) => one !== message),
    );
  }

  rewritten({ ward }: Shown): void {
    this.rewrittenAt.set(ward, this.world.wire.time.now);
  }

  /** Once somebody could look, a message that was sent again stands once; after what waits before it in the channel's lane. */
  private mustBeAlone(wardId: string, key: string, from: number): void {
    this.whenFair(from, aloneWithinMs, () => {
      const standing = this.shown.get(idOf(wardId, key))?.length ?? 0;
      const { wire, weather } = this.world;
      const { time } = wire;
      const isBusy = time.now - (this.rewrittenAt.get(wardId) ?? 0) < busyMs;
      if (standing > 1 && isBusy && time.now < weather.countsFrom(from, time.now) + aloneAtLastMs)
        return time.after(minuteMs, () => this.mustBeAlone(wardId, key, from));
      if (standing > 1) this.world.fails(`${idOf(wardId, key)} still stands ${standing} times`);
    });
  }

  came(message: Shown): void {
    const id = idOf(message.ward, message.key);
    const asked = this.posts.get(id);
    if (!asked) return this.world.fails(`a message came that nobody asked for: ${id}`);
    this.world.tally.looksAt('once');
    const there = this.shown.get(id) ?? [];
    this.shown.set(id, [...there, message]);
    if (there.length > 0 && !this.twice.has(id))
      return this.world.fails(`a message stands twice: ${id} in ${message.channel}`);
    if (there.length === 0) this.world.tally.shownAfterMs.push(message.at - asked.askedAt);
    for (const line of asked.post.lines) {
      const ids = this.ofLine.get(line) ?? new Set();
      this.ofLine.set(line, ids.add(id));
    }
  }

  /** When `doing` may be asked for: now, or later where something hindered it; never where the run is over. */
  private whenFair(from: number, withinMs: number, doing: () => void): void {
    const { time } = this.world.wire;
    const counts = this.world.weather.countsFrom(from, time.now);
    if (counts === Number.POSITIVE_INFINITY) time.after(minuteMs, () => this.whenFair(from, withinMs, doing));
    else if (time.now < counts + withinMs)
      time.at(counts + withinMs, () => this.whenFair(from, withinMs, doing));
    else doing();
  }

  private mustStand(wardId: string, key: string, askedAt: number): void {
    const id = idOf(wardId, key);
    this.world.tally.looksAt('stands');
    const isWell = () => this.shown.has(id) || this.letGoOf.has(id);
    if (isWell()) return;
    this.whenFair(askedAt, shownWithinMs, () => {
      if (isWell()) return;
      const since = minutes(this.world.wire.time.now - askedAt);
      void this.world.raw
        .readPost(wardId, key)
        .then((row) =>
          this.world.fails(
            `a message asked for ${since} ago does not stand: ${id}${row ? '' : ', and waits no more'}`,
          ),
        );
    });
  }

  private mustNotAsk(wardId: string, lineId: string, changedAt: number): void {
    this.whenFair(changedAt, shownWithinMs, () => {
      void this.world.peek(wardId).then(({ ward, lines }) => {
        const line = lines.find(({ id }) => id === lineId);
        // Told of again since: that change has its own look.
        if (!line || this.world.changedAt(lineId) > changedAt) return;
        this.world.tally.looksAt('notStale');
        for (const id of this.ofLine.get(lineId) ?? [])
          for (const message of this.known(id)) {
            const stale = this.staleAsk(message, line, ward.policy);
            if (stale)
              return this.world.fails(
                `${id} asks for ${lineId} ${stale}, which was told ${minutes(this.world.wire.time.now - changedAt)} ago`,
              );
          }
      });
    });
  }

  /** The messages of a post that the bot can know of: of one that was sent again because nobody could look, the last. */
  private known(id: string): Shown[] {
    const messages = this.shown.get(id) ?? [];
    return this.twice.has(id) ? messages.slice(-1) : messages;
  }

  private staleAsk(
    { ward, key, asks }: Shown,
    line: LineState,
    policy: Parameters<typeof dutyStatus>[1],
  ): string | undefined {
    const post = this.posts.get(idOf(ward, key))?.post;
    if (!post) return undefined;
    const now = Math.floor(this.world.wire.time.now);
    return asks
      .filter((ask) => ask.line === line.id)
      .map((ask) => {
        const asked = { lineId: ask.line, kind: ask.kind as DutyKind, dueAt: ask.dueAt };
        const { is } = dutyStatus(line, policy, asked, post.at, now);
        return ['done', 'line out', 'in error', 'let go'].includes(is) ? `${ask.kind} (${is})` : '';
      })
      .find(Boolean);
  }
}

export const minutes = (ms: number) => `${(ms / minuteMs).toFixed(1)} min`;

/** A post's key is unique in its ward. */
export function idOf(wardId: string, key: string): string {
  return `${wardId} ${key}`;
}
