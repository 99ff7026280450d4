import type { Change, Post, PostRow } from '../../src/app/ports.ts';
import { channelOf } from '../../src/chat/ward-id.ts';
import { owedLines } from '../../src/domain/duties/duties-of-line.ts';
import { calledAt, leadAt, nurseReached } from '../../src/domain/ladder/people.ts';
import type { LineState } from '../../src/domain/record/line-state.ts';
import type { WardState } from '../../src/domain/ward/ward-state.ts';
import type { ChannelWatch, Needs, Shut, ShutChannels } from './shut-channels.ts';
import { idOf, minutes, type Standing, shownWithinMs } from './standing.ts';
import type { World } from './world.ts';

const minuteMs = 60_000;
/** Whoever must be told that a channel is shut is looked for so often, ms. */
const lookMs = 10 * minuteMs;
/** What is missed at one look must be there at the next, ms: people change at that very moment. */
const secondLookMs = 3 * minuteMs;
/**
 * A channel that is back is rewritten message by message, each so long after the one before at most, ms: where the call for the next
 * is lost, only the sweeps of two processes go on, each after half a minute.
 */
const eachMs = 20_000;
/** Within this much time a channel that is shut is called so often at most, and each post that waits for it taken up. */
const countedMs = 10 * minuteMs;
const mostCalls = 120;
const mostTakes = 200;

/** Cried out to the ward in place of a clinician, as decision 019 has it. */
const cries = new Set(['nobody on call', 'nobody answered', 'unreached']);
const cannotWait = ({ to, kind, about, asked }: Post) =>
  to === 'ward' && asked.length > 0 && (kind === 'nudge' || cries.has(about?.what ?? ''));

/** What is promised while nothing can be posted in a ward's channel, and once it can be again. */
export class WhileShut implements Omit<ChannelWatch, 'changed'> {
  /** Since when the platform has refused what was to be posted in a channel, by the time in which it's shut, ms. */
  private readonly refusedSince = new Map<Shut, number>();
  private readonly refusedAt = new Map<Shut, number>();
  /** When each message was last written down as it stands, ms. */
  private readonly doneAt = new Map<string, number>();
  private readonly calls = new Map<string, number[]>();
  private readonly takes = new Map<string, number[]>();
  private readonly world: World;
  private readonly standing: Standing;
  private readonly channels: ShutChannels;

  constructor(world: World, standing: Standing, channels: ShutChannels) {
    this.world = world;
    this.standing = standing;
    this.channels = channels;
  }

  private get now(): number {
    return this.world.wire.time.now;
  }

  private wardOf(channel: string): string {
    return this.world.wardIds.find((wardId) => channelOf(wardId) === channel) ?? '';
  }

  called(channel: string): void {
    if (this.channels.shut(channel) === null) return;
    this.world.tally.add('calls about a channel that is shut');
    this.bounded(this.calls, channel, mostCalls, 'called');
  }

  refused(channel: string, needs: Needs): void {
    const shut = this.channels.shut(channel);
    if (!shut || !(needs === 'posting' || needs === 'changing')) return;
    this.refusedAt.set(shut, this.now);
    if (this.refusedSince.has(shut)) return;
    this.refusedSince.set(shut, this.now);
    this.world.tally.add('shut channels that were found out');
    this.mustBeTold(shut, this.now, false);
  }

  /** A post was taken out of the outbox to be sent. */
  taken(wardId: string, { post }: PostRow): void {
    const channel = channelOf(wardId);
    if (post.to !== 'ward' || this.channels.shut(channel) === null) return;
    // The more often the jobs are called for, the more often it's looked at.
    if (this.world.weather.now) return this.takes.clear();
    this.bounded(this.takes, idOf(wardId, post.key), mostTakes, 'taken up');
  }

  private bounded(times: Map<string, number[]>, what: string, most: number, isDone: string): void {
    const mine = (times.get(what) ?? []).filter((at) => at > this.now - countedMs);
    mine.push(this.now);
    times.set(what, mine);
    this.world.tally.most(
      `a shut channel, or what waits for it, ${isDone} within ten minutes at most`,
      mine.length,
    );
    if (mine.length > most)
      this.world.fails(
        `${what} was ${isDone} ${mine.length} times within ${minutes(countedMs)}, though the channel is shut`,
      );
  }

  done(wardId: string, key: string): void {
    this.doneAt.set(idOf(wardId, key), this.now);
  }

  committed(wardId: string, { once, posts }: Change): void {
    // It went to people.
    if (once?.endsWith('.instead')) this.standing.letGo(wardId, once.slice(0, -'.instead'.length));
    for (const post of posts) {
      if (cannotWait(post)) this.mustGo(wardId, post, this.now, false);
      if (post.key.includes('.to.')) this.mustBeRead(wardId, post, this.now);
    }
  }

  /** What went to people in place of the channel goes to somebody who reads it; where it didn't, the ward knows. */
  private mustBeRead(wardId: string, post: Post, askedAt: number): void {
    this.standing.whenFair(askedAt, shownWithinMs, () => {
      if (post.to === 'ward') return;
      const { user } = post.to;
      const shown = this.standing.shown.get(idOf(wardId, post.key)) ?? [];
      if (shown.length === 0 || !shown.every(({ at }) => this.world.unread.isUnread(user, at))) return;
      void this.world.raw.readWardState(wardId).then(({ unreached }) => {
        if (!unreached.some((one) => one.user === user))
          this.world.fails(`${idOf(wardId, post.key)} counts as told to ${user}, who reads nothing`);
      });
    });
  }

  /** What can't wait for the channel goes to people, where anybody is reached. */
  private mustGo(wardId: string, post: Post, askedAt: number, isSecond: boolean): void {
    this.standing.whenFair(askedAt, shownWithinMs, () => {
      const shut = this.channels.shut(channelOf(wardId));
      const id = idOf(wardId, post.key);
      // Whatever stands in the channel when it's open has a look of its own.
      if (shut === null || this.standing.isWell(id)) return;
      if (shut.from > askedAt) return this.mustGo(wardId, post, shut.from, false);
      void Promise.all([this.world.peek(wardId), this.world.raw.readPost(wardId, post.key)]).then(
        ([{ ward, lines }, row]) => {
          if (row === null || row.sent) return;
          const asked = new Set(post.asked.map(({ lineId }) => lineId));
          const concerned = lines.filter((line) => asked.has(line.id));
          const whom = insteadOf(ward, concerned, this.now);
          if (whom.length > 0 && isSecond)
            return this.world.fails(
              `${id} waits for a channel that is shut for ${minutes(this.now - shut.from)}, and ${whom.join(', ')} can be told`,
            );
          this.again(secondLookMs, () => this.mustGo(wardId, post, askedAt, whom.length > 0));
        },
      );
    });
  }

  private again(ms: number, look: () => void): void {
    this.world.wire.time.after(ms, look);
  }

  /** Whoever leads the nurses, else the nurses themselves, else whoever is called, has a message that says that the channel is shut. */
  private mustBeTold(shut: Shut, since: number, isSecond: boolean): void {
    this.standing.whenFair(since, shownWithinMs, () => {
      if (this.channels.shut(shut.channel) !== shut) return;
      const wardId = this.wardOf(shut.channel);
      void this.world.peek(wardId).then(({ ward, lines }) => {
        // Nobody may have heard the refusal; the next one counts.
        const wasHeard = (this.refusedAt.get(shut) ?? 0) > this.world.weather.countsFrom(since, this.now);
        if (ward.channelShut === null && !wasHeard) return void this.refusedSince.delete(shut);
        const fault = this.untold(ward, lines);
        if (fault === null) this.world.tally.add('looks whether people are told that a channel is shut');
        if (fault !== null && isSecond) return this.world.fails(fault);
        this.again(fault === null ? lookMs : secondLookMs, () =>
          this.mustBeTold(shut, since, fault !== null),
        );
      });
    });
  }

  private untold(ward: WardState, lines: readonly LineState[]): string | null {
    const now = Math.floor(this.now);
    const owed = owedLines(lines, ward.policy, now).filter(
      ({ knownSince }) => knownSince < now - 2 * shownWithinMs,
    );
    if (owed.length === 0) return null;
    if (ward.channelShut === null) return `nobody knows that the channel of ${ward.id} is shut`;
    const instead = insteadOf(ward, owed, now);
    const whom = instead.length > 0 ? instead : [calledAt(ward, now) ?? []].flat();
    const isTold = (user: string) =>
      this.ofShut(ward.id, ward.channelShut?.at).some(({ id, to, shown }) => {
        if (to !== user) return false;
        return shown.some(({ at }) => !this.world.unread.isUnread(user, at)) || this.standing.isWell(id);
      });
    if (whom.length === 0 || whom.some(isTold)) return null;
    return `nobody of ${whom.join(', ')} was told that the channel of ${ward.id} is shut (${ward.channelShut.why})`;
  }

  /** The messages to people that say that the channel of a ward is shut, since `from` or ever. */
  private ofShut(wardId: string, from?: number) {
    return [...this.standing.posts].flatMap(([id, { wardId: ofWard, post }]) => {
      if (ofWard !== wardId || post.to === 'ward' || post.about?.what !== 'channel shut') return [];
      if (from !== undefined && post.about.from !== from) return [];
      return [{ id, to: post.to.user, shown: this.standing.shown.get(id) ?? [] }];
    });
  }

  /** A channel is open again: all that waited for it is brought up to date, and whoever was told so hears that it's back. */
  back(channel: string): void {
    const wardId = this.wardOf(channel);
    const openedAt = this.now;
    this.world.tally.add('channels that were opened again');
    const ids = [...this.standing.posts].flatMap(([id, { wardId: ofWard, post }]) =>
      ofWard === wardId && post.to === 'ward' ? [{ id, key: post.key }] : [],
    );
    void Promise.all([
      this.world.peek(wardId),
      ...ids.map(({ key }) => this.world.raw.readPost(wardId, key)),
    ]).then(([{ ward }, ...rows]) => {
      // Where nobody noticed, nothing was to be sent.
      if (ward.channelShut === null) return;
      const waiting = ids.filter((_, index) => rows[index] !== null);
      this.standing.whenFair(openedAt, shownWithinMs + waiting.length * eachMs, () =>
        this.allRight(wardId, openedAt, waiting),
      );
    });
  }

  private allRight(wardId: string, openedAt: number, waiting: readonly { id: string; key: string }[]): void {
    // Where it was shut once more, the next time it's back has its own look.
    if (this.channels.wasShut(channelOf(wardId), openedAt + 1, this.now)) return;
    const since = minutes(this.now - openedAt);
    for (const { id, shown } of this.ofShut(wardId))
      for (const { text } of shown.slice(-1))
        if (!text.includes('has been back since'))
          return this.world.fails(`${id} says that a channel is shut that is open for ${since}: ${text}`);
    void Promise.all(waiting.map(({ key }) => this.world.raw.readPost(wardId, key))).then((rows) => {
      for (const [index, { id }] of waiting.entries())
        if (rows[index] !== null && !((this.doneAt.get(id) ?? 0) >= openedAt))
          return this.world.fails(`${id} was not brought up to date in a channel that is open for ${since}`);
      this.world.tally.add('channels in which all is right again');
    });
  }
}

/** Who is told what the channel can't be: whoever leads, else the nurses of these lines. */
function insteadOf(ward: WardState, lines: readonly LineState[], now: number): string[] {
  const lead = leadAt(ward, now);
  if (lead !== null) return [lead];
  return [...new Set(lines.flatMap((line) => nurseReached(ward, line, now) ?? []))];
}
