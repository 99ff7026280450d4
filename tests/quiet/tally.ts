import type { Duty } from '../../src/domain/duties/duty.ts';
import type { DutyKind } from '../../src/domain/duties/duty-kind.ts';
import type { PlannedPost } from '../../src/domain/ladder/plan-wake.ts';
import { shiftAt } from '../../src/domain/shifts/shift-calendar.ts';
import type { WardState } from '../../src/domain/ward/ward-state.ts';

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

/** One new message: whom it reached and when. */
interface Notification {
  to: string;
  reader: PlannedPost['to'];
  at: number;
}

/** Watches one ward's run and writes what it came to into a tally. */
export class WardWatch {
  private readonly notifications: Notification[] = [];
  /** Dangers by line, kind and due time: from when on they are one, and when somebody was first told after that. */
  private readonly dangers = new Map<string, { at: number; told: number | null }>();
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
      if (at !== null && !known) this.dangers.set(nameOf(duty), { at, told: null });
    }
  }

  posted(post: PlannedPost, now: number, ward: WardState): void {
    const to = 'user' in post ? post.user : 'ward';
    this.notifications.push({ to, reader: post.to, at: now });
    this.tally.add(`to ${post.to}`);
    if (!('duties' in post)) return;
    this.tally.add('reminders');
    if (post.to === 'clinician' && !isNight(ward, now)) this.tally.add('clinician by day');
    for (const duty of post.duties) {
      const danger = this.dangers.get(nameOf(duty));
      if (danger && now >= danger.at - minuteMs) danger.told ??= now;
    }
  }

  cleared(duty: Duty, now: number): void {
    const danger = this.dangers.get(nameOf(duty));
    // Done before it became one.
    if (danger && danger.told === null && now <= danger.at + minuteMs) this.dangers.delete(nameOf(duty));
    if (duty.kind === 'dwellWarning' || now < duty.earliestAt) return;
    const late = this.tally.lateMin.get(duty.kind) ?? [];
    late.push(Math.max(0, (now - duty.dueAt) / minuteMs));
    this.tally.lateMin.set(duty.kind, late);
  }

  /** The run is over: adds what takes the whole of it to tell. */
  end(ward: WardState, fromMs: number, toMs: number): void {
    const dangers = [...this.dangers.values()].filter(({ at }) => at < toMs);
    for (const { at, told } of dangers)
      this.tally.dangerToldMin.push(
        told === null ? Number.POSITIVE_INFINITY : Math.max(0, (told - at) / minuteMs),
      );
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

function nameOf({ lineId, kind, dueAt }: Duty): string {
  return `${lineId} ${kind} ${dueAt}`;
}

export function isNight(ward: WardState, atMs: number): boolean {
  return shiftAt(ward.policy.shifts, atMs).name === 'night';
}
