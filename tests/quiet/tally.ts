import type { Duty } from '../../src/domain/duties/duty.ts';
import type { DutyKind } from '../../src/domain/duties/duty-kind.ts';
import type { PlannedPost } from '../../src/domain/ladder/plan-wake.ts';
import { shiftAt } from '../../src/domain/shifts/shift-calendar.ts';
import type { WardState } from '../../src/domain/ward/ward-state.ts';

const hourMs = 3_600_000;

/** One new message: who it reached and when. */
interface Notification {
  to: string;
  reader: PlannedPost['to'];
  what: string;
  at: number;
  duties: Duty[];
}

/** What a run of simulated wards came to; add up as many as you like, then read the figures. */
export class Tally {
  lineHours = 0;
  nurseHours = 0;
  wardHours = 0;
  readonly lateMin = new Map<DutyKind, number[]>();
  /** Minutes from a danger's time to the first word of it to anybody. */
  readonly dangerToldMin: number[] = [];
  /** Most new messages to one person within any hour. */
  mostToOneInAnHour = 0;
  counts: Record<string, number> = {};
  /** Nights (12 h) and how many messages the clinician got in each. */
  readonly clinicianNights: number[] = [];
  /** The same nights without those in which something dangerous was open. */
  readonly calmNights: number[] = [];

  add(name: string, count = 1): void {
    this.counts[name] = (this.counts[name] ?? 0) + count;
  }

  count(name: string): number {
    return this.counts[name] ?? 0;
  }

  late(kind: DutyKind, minutes: number): void {
    const list = this.lateMin.get(kind) ?? [];
    list.push(Math.max(0, minutes));
    this.lateMin.set(kind, list);
  }
}

/** Watches one ward's run and writes what it came to into a tally. */
export class WardWatch {
  private readonly notifications: Notification[] = [];
  private readonly dangers = new Map<string, { at: number; told: number | null }>();
  private readonly tally: Tally;

  constructor(tally: Tally) {
    this.tally = tally;
  }

  posted(post: PlannedPost, now: number, ward: WardState, isDanger: (duty: Duty) => boolean): void {
    const duties = 'duties' in post ? post.duties : [];
    const reader = post.to;
    const to = 'user' in post ? post.user : 'ward';
    this.notifications.push({ to, reader, what: post.what, at: now, duties });
    this.tally.add(`posts to ${reader}`);
    if (post.what === 'nudge' && post.nurse !== null) {
      this.tally.add('visits');
      for (const why of new Set(post.duties.filter((d) => d.dueAt <= now - (d.why === 'sampled' ? 6e5 : 0)).map((d) => `${d.kind} ${d.why}`))) this.tally.add(`v:${why}`);
 if (post.duties.length===1) this.tally.add(`single:${post.duties[0]?.kind} ${post.duties[0]?.why}`); }
    this.tally.add(`${reader}: ${post.what}`);
    if (post.what === 'nudge' || post.what === 'questions' || post.what === 'nobody answered' || post.what === 'escalation' || post.what === 'nobody on call')
      this.tally.add('reminders');
    if (reader === 'clinician') this.tally.add(isNight(ward, now) ? 'clinician by night' : 'clinician by day');
    for (const duty of duties) if (isDanger(duty)) this.danger(duty, now);
  }

  /** A danger is open since `duty.dueAt`; the first word of it is `told` (ms), null where nobody has heard yet. */
  danger({ lineId, kind, dueAt }: Duty, told: number | null): void {
    const key = `${lineId} ${kind} ${dueAt}`;
    const known = this.dangers.get(key);
    if (!known) this.dangers.set(key, { at: dueAt, told });
    else known.told ??= told;
  }

  cleared(duty: Duty, now: number): void {
    if (duty.kind === 'dwellWarning' || duty.dueAt > now + 2 * hourMs) return;
    this.tally.late(duty.kind, (now - duty.dueAt) / 60_000);
  }

  /** The run is over: adds what takes the whole of it to tell. */
  end(ward: WardState, fromMs: number, toMs: number): void {
    for (const { at, told } of this.dangers.values())
      this.tally.dangerToldMin.push(told === null ? Number.POSITIVE_INFINITY : (told - at) / 60_000);
    for (const [to, mine] of Map.groupBy(this.notifications, ({ to: who }) => who)) {
      if (to === 'ward') continue;
      const times = mine.map(({ at }) => at);
      for (const [index, at] of times.entries()) {
        const within = times.slice(index).filter((later) => later < at + hourMs).length;
        this.tally.mostToOneInAnHour = Math.max(this.tally.mostToOneInAnHour, within);
      }
    }
    for (let at = fromMs; at < toMs; at += 12 * hourMs) {
      if (!isNight(ward, at)) continue;
      const until = at + 12 * hourMs;
      const count = this.notifications.filter(
        (one) => one.reader === 'clinician' && one.at >= at && one.at < until,
      ).length;
      this.tally.clinicianNights.push(count);
      const dangerous = [...this.dangers.values()].some((danger) => danger.at >= at && danger.at < until);
      if (!dangerous) this.tally.calmNights.push(count);
    }
  }
}

export function isNight(ward: WardState, atMs: number): boolean {
  return shiftAt(ward.policy.shifts, atMs).name === 'night';
}
