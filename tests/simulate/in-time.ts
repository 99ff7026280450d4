import type { Change, WardView } from '../../src/app/ports.ts';
import { wakesOf } from '../../src/app/sweep-wards.ts';
import { dutiesOfLine } from '../../src/domain/duties/duties-of-line.ts';
import { type Duty } from '../../src/domain/duties/duty.ts';
import { claimOn, marksOn } from '../../src/domain/duties/marks-on.ts';
import { dangerousFrom } from '../../src/domain/duties/urgency.ts';
import { type DutyKind, isClinicians } from '../../src/domain/duty-kind.ts';
import { laterMinOf } from '../../src/domain/policy/ward-policy.ts';
import type { LineState } from '../../src/domain/record/line-state.ts';
import { dutyName } from '../../src/wording/care/duty-words.ts';
import { lineWords } from '../../src/wording/care/line-words.ts';
import { minutes, type Standing, shownWithinMs } from './standing.ts';
import type { World } from './world.ts';

const minuteMs = 60_000;
/** A ward is looked at within this of the instant at which something is owed, while nothing hinders it, ms. */
export const lookedAtWithinMs = 2 * minuteMs;
const dangerWithinMs = lookedAtWithinMs + shownWithinMs;
/** A danger is looked for in the messages so often, and for so long, ms. */
const lookMs = 30_000;
const watchedForMs = 3 * 60 * minuteMs;
/** Furthest that a clock is ahead here, and then some, ms. */
const mostAheadMs = 6_000;
/** One step of the ladder is not taken twice within this, ms. */
const apartMs = 3 * minuteMs;

/** What is owed to people at an instant is told them near it; what could not be is reported. */
export class InTime {
  private readonly world: World;
  private readonly standing: Standing;
  /** Since when something is owed on a ward and nobody has looked, ms. */
  private readonly owed = new Map<string, number>();
  private readonly lookedAt = new Map<string, number>();
  private readonly dangers = new Map<string, number>();
  /** When a danger was last seen in a message to whoever decides, ms. */
  private readonly seenAt = new Map<string, number>();
  private readonly taken = new Map<string, number>();

  constructor(world: World, standing: Standing) {
    this.world = world;
    this.standing = standing;
  }

  committed(wardId: string, change: Change, view: WardView): void {
    const now = Math.floor(this.world.wire.time.now);
    this.nextOwed(wardId, view, now);
    this.lookedAt.set(wardId, now);
    const byId = new Map(view.lines.map((line) => [line.id, line]));
    for (const { id } of change.lines) {
      const line = byId.get(id);
      if (line)
        for (const duty of dutiesOfLine(line, view.ward.policy, now))
          this.danger(wardId, duty, line, view, now);
    }
    this.notTwice(change, now);
  }

  private nextOwed(wardId: string, view: WardView, now: number): void {
    // As whoever told last sees it, whose clock may be ahead.
    const seenAt = Math.max(now, ...view.lines.map(({ latestAt }) => latestAt));
    const instants = Object.values(wakesOf(view, seenAt));
    const before = this.owed.get(wardId);
    if (instants.length === 0) return void this.owed.delete(wardId);
    const next = Math.min(...instants);
    // Still owed, whoever wrote in between; or owed from now on, though for what was due long ago.
    const isStill = before !== undefined && before <= now;
    const since = next > now ? next : isStill ? before : now;
    if (since === before) return;
    this.owed.set(wardId, since);
    this.world.tally.looksAt('inTime');
    this.lookAt(wardId, since, since + lookedAtWithinMs);
  }

  private lookAt(wardId: string, since: number, when: number): void {
    const { wire, weather } = this.world;
    wire.time.at(when, () => {
      if (this.owed.get(wardId) !== since) return;
      const now = Math.floor(wire.time.now);
      const counts = weather.countsFrom(since, now);
      if (counts === Number.POSITIVE_INFINITY) return this.lookAt(wardId, since, now + minuteMs);
      // Against the instant itself: rounded down it would come before this look for ever.
      if (wire.time.now < counts + lookedAtWithinMs)
        return this.lookAt(wardId, since, counts + lookedAtWithinMs);
      const fails = () =>
        this.world.fails(`something is owed on ${wardId} for ${minutes(now - since)} and nobody has looked`);
      // A process whose clock is ahead looked just before: then it is no more owed.
      const isNear = (this.lookedAt.get(wardId) ?? 0) >= since - mostAheadMs;
      if (!isNear) return fails();
      void this.world.peek(wardId).then((view) => {
        if (Math.min(...Object.values(wakesOf(view, now))) <= now) return fails();
        this.owed.delete(wardId);
        this.nextOwed(wardId, view, now);
      });
    });
  }

  private danger(wardId: string, duty: Duty, line: LineState, { ward }: WardView, now: number): void {
    const from = dangerousFrom(duty, ward.policy);
    const name = `${duty.lineId} ${duty.kind}`;
    if (from === null || this.dangers.get(name) === from) return;
    this.dangers.set(name, from);
    this.mustReach(wardId, name, from, Math.max(now, from));
    this.watch(name, duty, line, from, ward.policy.repeatMin * minuteMs);
  }

  /** Looks for a danger in the messages again and again: one that was told may since have gone on to whoever is on call next. */
  private watch(name: string, duty: Duty, line: LineState, from: number, repeatMs: number): void {
    const { time } = this.world.wire;
    if (this.dangers.get(name) !== from || time.now > from + watchedForMs) return;
    if (this.hasReached(duty, line, from - repeatMs)) this.seenAt.set(name, time.now);
    time.at(Math.max(time.now, from) + lookMs, () => this.watch(name, duty, line, from, repeatMs));
  }

  /** A danger that is one since `from`, and known since `known`, has reached a clinician or the channel. */
  private mustReach(wardId: string, name: string, from: number, known: number): void {
    const { wire, weather } = this.world;
    const again = (when: number) => wire.time.at(when, () => this.mustReach(wardId, name, from, known));
    const counts = weather.countsFrom(known, wire.time.now);
    if (counts === Number.POSITIVE_INFINITY) return again(wire.time.now + minuteMs);
    if (wire.time.now < counts + dangerWithinMs) return again(counts + dangerWithinMs);
    void this.world.peek(wardId).then(({ ward, lines }) => {
      const now = Math.floor(wire.time.now);
      if (this.dangers.get(name) !== from) return;
      for (const line of lines)
        for (const duty of dutiesOfLine(line, ward.policy, now)) {
          if (`${duty.lineId} ${duty.kind}` !== name || dangerousFrom(duty, ward.policy) !== from) continue;
          const marks = marksOn(line, duty);
          const claimed = (claimOn(marks)?.until ?? 0) + ward.policy.repeatMin * minuteMs;
          const putOff = marks.snoozed ? from + laterMinOf(ward.policy, duty.kind) * minuteMs : 0;
          // Somebody has taken it over, or put it off as far as that goes, or said that they can't: then others are told.
          const fairFrom = Math.max(claimed, putOff, marks.cannot?.at ?? 0) + dangerWithinMs;
          if (fairFrom > now) return again(Math.ceil(fairFrom));
          this.world.tally.looksAt('danger');
          const seenAt = this.seenAt.get(name) ?? 0;
          const wasSeen = seenAt >= from && seenAt >= fairFrom - dangerWithinMs;
          if (!wasSeen && !this.hasReached(duty, line, from - ward.policy.repeatMin * minuteMs))
            this.world.fails(`${name}, a danger for ${minutes(now - from)}, has reached nobody who decides`);
        }
    });
  }

  /**
   * Whether whoever decides has a message of it that they can read, made or changed when it became a danger or, as it is told again
   * each half hour, shortly before; or a notice in the channel says it by name as it stands now.
   */
  private hasReached({ lineId, kind }: Duty, line: LineState, since: number): boolean {
    for (const [id, messages] of this.standing.shown) {
      const post = this.standing.posts.get(id)?.post;
      const what = post?.about?.what ?? '';
      if (!post || !(decides.has(what) || criesOut.has(what))) continue;
      for (const { at, editedAt, asks, text } of messages) {
        if (post.to !== 'ward' && this.world.unread.isUnread(post.to.user, at)) continue;
        const says = criesOut.has(what)
          ? saysOf(text, line, kind)
          : editedAt >= since && asks.some((ask) => ask.line === lineId && ask.kind === kind);
        if (says) return true;
      }
    }
    return false;
  }

  /** A message that says nothing but what one said just before is one too many; what is added to a message that stands is none. */
  private notTwice({ lines }: Change, now: number): void {
    const told = lines.flatMap(({ id, entries }) =>
      entries.flatMap((entry) => {
        if (entry.kind !== 'nudged' && entry.kind !== 'escalated') return [];
        if (entry.kind === 'escalated' && entry.body.joins !== undefined) return [];
        const to = entry.kind === 'nudged' ? 'ward' : `${entry.body.to} ${entry.body.user ?? ''}`;
        return entry.body.duties.map(([kind, dueAt]) => ({ id, to, step: `${id} ${kind} ${dueAt} ${to}` }));
      }),
    );
    for (const mine of Map.groupBy(told, ({ to }) => to).values()) {
      const isAll = mine.every(({ id, step }) => {
        const before = this.taken.get(step);
        return before !== undefined && now < before + apartMs && !this.world.saidSince(id, before);
      });
      const steps = mine.map(({ step }) => step);
      if (isAll) return this.world.fails(`${steps.join(', ')}: told twice within ${minutes(apartMs)}`);
      for (const step of steps) this.taken.set(step, now);
    }
  }
}

/** Messages to somebody who decides, with their buttons. */
const decides = new Set(['clinician', 'backup']);
/** Notices to the whole channel in their place; they ask in words alone. */
const criesOut = new Set(['nobody on call', 'nobody answered', 'unreached', 'was down']);

/** Whether these words name a duty of a line as open: `Biscuit (left dorsal pedal): zero and level, flush, 20 min late.` */
function saysOf(text: string, line: LineState, kind: DutyKind): boolean {
  const [, ...after] = text.split(`${lineWords(line)}: `);
  return after.some((rest) => {
    const words = rest.split('. ')[0]?.toLowerCase() ?? '';
    return isClinicians(kind)
      ? words.includes(', seen ')
      : words.includes(dutyName(kind, line).toLowerCase());
  });
}
