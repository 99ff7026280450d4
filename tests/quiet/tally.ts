import type { Duty } from '../../src/domain/duties/duty.ts';
import type { DutyKind } from '../../src/domain/duty-kind.ts';
import type { PlannedPost } from '../../src/domain/ladder/wake-plan.ts';
import type { LineState } from '../../src/domain/record/line-state.ts';
import { visitAsOf } from '../../src/domain/rounds/takeover.ts';
import { isCalledAlready } from '../../src/domain/rounds/visit-gap.ts';
import { shiftAt } from '../../src/domain/shifts/shift-calendar.ts';
import { awaitsTakeover, nurseOf } from '../../src/domain/ward/on-call.ts';
import type { WardState } from '../../src/domain/ward/ward-state.ts';
import type { Named } from './simulated-ward.ts';

const minuteMs = 60_000;
const hourMs = 60 * minuteMs;

/** What runs of simulated wards came to; add up as many as you like, then read the figures. */
export class Tally {
  lineHours = 0;
  nurseHours = 0;
  wardHours = 0;
  /** Minutes past due at which duties were done, by kind; 0 where they were done in time. */
  readonly lateMin = new Map<DutyKind, number[]>();
  /** Minutes from a danger's time to the first message that named it; infinite where it was left untold. */
  readonly dangerToldMin: number[] = [];
  /** Minutes from a danger's time to the first message that rang for it; one that was added to a message that stood is told, too. */
  readonly dangerRungMin: number[] = [];
  /** Longest time in which a danger was open and nobody was told of it, or told again, min. */
  longestSilenceMin = 0;
  /** Most new messages to one person within an hour. */
  mostInAnHour = 0;
  /** Messages to the clinician in each night of 12 h; and in those in which nothing dangerous was open. */
  readonly nights: number[] = [];
  readonly calmNights: number[] = [];
  private readonly counts = new Map<string, number>();

  add(name: string): void {
    this.counts.set(name, this.count(name) + 1);
  }

  count(name: string): number {
    return this.counts.get(name) ?? 0;
  }
}

/** A message that stands: what it asks for and is not done, when it was last rewritten (ms), and whether a newer one took its place. */
interface Standing {
  to: string;
  reader: PlannedPost['to'];
  madeAt: number;
  open: Set<string>;
  editedAt: number;
}

/** One new message: whom it reached and when. */
interface Notification {
  to: string;
  reader: PlannedPost['to'];
  at: number;
}

/** `at`: from when on it is one; then when somebody was told, when a phone rang, the last word of it, and when it was over; ms. */
interface Danger {
  at: number;
  told: number | null;
  rung: number | null;
  lastWord: number;
  over: number | null;
}

/** Watches one ward's run and writes what it came to into a tally. */
export class WardWatch {
  private readonly notifications: Notification[] = [];
  private standing: Standing[] = [];
  /** Dangers by line, kind and due time: from when on they are one, and when somebody was first told after that. */
  private readonly dangers = new Map<string, Danger>();
  private readonly tally: Tally;
  private readonly dangerousFrom: (duty: Duty) => number | null;

  constructor(tally: Tally, dangerousFrom: (duty: Duty) => number | null) {
    this.tally = tally;
    this.dangerousFrom = dangerousFrom;
  }

  /** These duties of a line are open now. */
  open(duties: readonly Duty[]): void {
    for (const duty of duties) {
      const at = this.dangerousFrom(duty);
      const known = this.dangers.get(nameOf(duty));
      if (at !== null && !known)
        this.dangers.set(nameOf(duty), { at, told: null, rung: null, lastWord: at, over: null });
    }
  }

  posted(post: PlannedPost, now: number, ward: WardState, lines: ReadonlyMap<string, LineState>): void {
    // A notice to the ward names people without calling them.
    const to = post.to === 'ward' ? 'ward' : post.user;
    this.notifications.push({ to, reader: post.to, at: now });
    this.tally.add(`to ${post.to}`);
    if (!('duties' in post)) return;
    this.stands(post, to, now);
    this.tally.add('reminders');
    if (post.to === 'nurse') this.tally.add('rings of nurses');
    if (post.what === 'nudge' && 'nurse' in post && post.nurse === null) this.tally.add('own messages');
    if (post.what === 'nudge') {
      const nurses = post.duties.flatMap(({ lineId }) => {
        const line = lines.get(lineId);
        // Until a shift is taken over its messages call nobody by name.
        if (line && awaitsTakeover(ward, line, visitAsOf(ward.policy, now))) return ['whoever takes over'];
        const nurse = line ? nurseOf(ward, line, visitAsOf(ward.policy, now)) : '';
        const isCalled =
          post.nurse !== null || !isCalledAlready(ward, [...lines.values()], { id: lineId, nurse }, now, now);
        return line && isCalled ? [nurse] : [];
      });
      for (const nurse of new Set(nurses)) {
        this.tally.add('rings of nurses');
        this.notifications.push({ to: nurse, reader: 'nurse', at: now });
      }
    }
    if (post.to === 'clinician' && !isNight(ward, now)) this.tally.add('clinician by day');
    this.heard(post.duties, now, true);
  }

  /** These were added to the message that was made for `reader` at `madeAt` (ms). */
  added(duties: readonly Named[], reader: PlannedPost['to'], madeAt: number, now: number): void {
    this.tally.add('added');
    this.heard(duties, now, false);
    for (const message of this.standing)
      if (message.reader === reader && message.madeAt === madeAt) {
        for (const duty of duties) message.open.add(nameOf(duty));
        this.rewritten(message, now);
      }
  }

  /** A new message; one of what is late takes the place of the one before it, which then says so. */
  private stands(post: PlannedPost & { duties: Duty[] }, to: string, now: number): void {
    if (post.what === 'escalation') {
      const before = (one: Standing) => one.to === to && one.reader === post.to;
      for (const message of this.standing.filter(before)) this.rewritten(message, now);
      this.standing = this.standing.filter((one) => !before(one));
    }
    const open = new Set(post.duties.map(nameOf));
    this.standing.push({ to, reader: post.to, madeAt: now, open, editedAt: now });
  }

  /** What is recorded at one instant rewrites a message once. */
  private rewritten(message: Standing, now: number): void {
    if (message.editedAt < now) this.tally.add(`edits to ${message.reader}`);
    message.editedAt = now;
  }

  private heard(duties: readonly Named[], now: number, isRung: boolean): void {
    for (const duty of duties) {
      const danger = this.dangers.get(nameOf(duty));
      if (!danger || now < danger.at - minuteMs) continue;
      danger.told ??= now;
      if (isRung) danger.rung ??= now;
      this.silence(danger, now);
    }
  }

  private silence(danger: Danger, now: number): void {
    if (now <= danger.lastWord) return;
    this.tally.longestSilenceMin = Math.max(this.tally.longestSilenceMin, (now - danger.lastWord) / minuteMs);
    danger.lastWord = now;
  }

  cleared(duty: Duty, now: number): void {
    for (const message of this.standing) if (message.open.delete(nameOf(duty))) this.rewritten(message, now);
    this.standing = this.standing.filter(({ open }) => open.size > 0);
    const danger = this.dangers.get(nameOf(duty));
    // Done before it became one.
    if (danger && danger.told === null && now <= danger.at + minuteMs) this.dangers.delete(nameOf(duty));
    else if (danger && danger.over === null) {
      this.silence(danger, now);
      danger.over = now;
    }
    if (duty.kind === 'dwellWarning' || now < duty.earliestAt) return;
    const late = this.tally.lateMin.get(duty.kind) ?? [];
    late.push(Math.max(0, (now - duty.dueAt) / minuteMs));
    this.tally.lateMin.set(duty.kind, late);
  }

  /** The run is over: adds what takes the whole of it to tell. */
  end(ward: WardState, fromMs: number, toMs: number): void {
    const dangers = [...this.dangers.values()].filter(({ at }) => at < toMs);
    const since = (at: number, heard: number | null) =>
      heard === null ? Number.POSITIVE_INFINITY : Math.max(0, (heard - at) / minuteMs);
    for (const danger of dangers) {
      this.tally.dangerToldMin.push(since(danger.at, danger.told));
      // One that was over, or within the half hour in which it waits to ring, at the end is no miss.
      if (danger.rung !== null) this.tally.dangerRungMin.push(since(danger.at, danger.rung));
      if (danger.over === null) this.silence(danger, toMs);
    }
    const personal = this.notifications.filter(({ to }) => to !== 'ward');
    for (const mine of Map.groupBy(personal, ({ to }) => to).values())
      for (const [index, { at }] of mine.entries()) {
        const within = mine.slice(index).filter((later) => later.at < at + hourMs).length;
        this.tally.mostInAnHour = Math.max(this.tally.mostInAnHour, within);
      }
    for (let at = fromMs; at < toMs; at += 12 * hourMs) {
      if (!isNight(ward, at)) continue;
      const isThen = (instant: number) => instant >= at && instant < at + 12 * hourMs;
      const count = personal.filter((one) => one.reader === 'clinician' && isThen(one.at)).length;
      this.tally.nights.push(count);
      if (!dangers.some((danger) => isThen(danger.at))) this.tally.calmNights.push(count);
    }
  }
}

function nameOf({ lineId, kind, dueAt }: Named): string {
  return `${lineId} ${kind} ${dueAt}`;
}

export function isNight(ward: WardState, atMs: number): boolean {
  return shiftAt(ward.policy.shifts, atMs).name === 'night';
}
