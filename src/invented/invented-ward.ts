import { accept, needsLog } from '../domain/accept/accept.ts';
import { monthOwed, nextAuditAt } from '../domain/audit/month-audit.ts';
import { isClosed } from '../domain/duties/duties-of-line.ts';
import type { Duty } from '../domain/duties/duty.ts';
import { foldLine, foldNext } from '../domain/fold/fold-line.ts';
import { lineWakeAt, planWake, wardWakeAt } from '../domain/ladder/plan-wake.ts';
import { defaultPolicy } from '../domain/policy/ward-policy.ts';
import type { Entry, EntryDraft, EntryHead, EntryOf } from '../domain/record/entry.ts';
import type { LineState } from '../domain/record/line-state.ts';
import { visitsHeldUntil } from '../domain/rounds/visit-gap.ts';
import { shiftAt } from '../domain/shifts/shift-calendar.ts';
import { minuteMs } from '../domain/time.ts';
import { onCallAt } from '../domain/ward/on-call.ts';
import type { WardDraft, WardEntry } from '../domain/ward/ward-entry.ts';
import { foldWardNext, newWard, type WardState } from '../domain/ward/ward-state.ts';
import type { Chance } from './chance.ts';
import { EventQueue } from './event-queue.ts';
import { inventedYear } from './invented-year.ts';

/** A line of an invented ward with its log so far. */
export interface InventedLine {
  id: string;
  entries: Entry[];
  state: LineState;
}

/**
 * A ward on a clock of its own that runs from event to event. What people record goes through the door that every entry goes
 * through, and what the bot sends is what its ladder plans: so the record is one that could have come about.
 */
export class InventedWard {
  readonly queue = new EventQueue();
  readonly wardEntries: WardEntry[] = [];
  readonly lines: InventedLine[] = [];
  ward: WardState;
  now: number;
  /** Lines that still stand on the ward's list. */
  listed: InventedLine[] = [];
  private readonly chance: Chance;
  private readonly nurses = new Map<number, string>();
  private wakeAt = Number.POSITIVE_INFINITY;
  private auditAt: number;
  private hasChanged = true;
  private readonly onChange: (line: InventedLine) => void;

  constructor(
    { id, zone, beginMs }: { id: string; zone: string; beginMs: number },
    chance: Chance,
    onChange: (line: InventedLine) => void,
  ) {
    this.ward = newWard(id, defaultPolicy(zone));
    this.chance = chance;
    this.now = beginMs;
    this.auditAt = nextAuditAt(this.ward.policy.shifts, beginMs);
    this.onChange = onChange;
  }

  /** Lives until an instant: each event and each wake-up of the ladder in turn. */
  liveUntil(endMs: number): void {
    for (;;) {
      const next = Math.min(this.queue.nextAt(), this.wakeAt);
      if (next >= endMs) break;
      this.now = Math.max(this.now, next);
      if (this.wakeAt < this.queue.nextAt()) this.wake();
      else this.queue.take()?.();
      if (this.hasChanged) this.look();
    }
    this.now = endMs;
  }

  /** Does something in a while, ms. */
  later(waitMs: number, act: () => void): void {
    this.queue.add(wholeSecond(this.now + waitMs), act);
  }

  place(id: string, body: EntryOf<'placed'>['body'], by: string): InventedLine {
    const entry: Entry = { at: this.now, told: this.now, by, via: 'form', kind: 'placed', body };
    const line = { id, entries: [entry], state: foldLine(id, [entry]) };
    this.lines.push(line);
    this.listed.push(line);
    this.changed(line);
    return line;
  }

  /** Records something of a line. Whether it was taken: not what stands already, nor what came too late. */
  record(line: InventedLine, draft: EntryDraft, { by, at = this.now }: { by: string; at?: number }): boolean {
    const via = this.chance.weighted({ button: 7, form: 2, command: 1 });
    const head: EntryHead = { at, told: this.now, by, via };
    const log = needsLog(line.state, draft, at) ? line.entries : [];
    const verdict = accept(line.state, this.ward, draft, head, log);
    if (!('take' in verdict)) return false;
    this.write(line, verdict.take);
    return true;
  }

  recordOnWard(draft: WardDraft, by: string, at = this.now): void {
    const entry = { at, told: this.now, by, via: by === bot ? 'bot' : 'form', ...draft } as WardEntry;
    this.wardEntries.push(entry);
    this.ward = foldWardNext(this.ward, entry);
    this.hasChanged = true;
  }

  /** The nurse of the shift at an instant, by a roster that chance made. */
  nurseAt(at: number): string {
    const { startMs } = shiftAt(this.ward.policy.shifts, at);
    const known = this.nurses.get(startMs) ?? this.chance.of(`nurse ${startMs}`).pick(inventedYear.nurses);
    this.nurses.set(startMs, known);
    return known;
  }

  clinician(): string {
    return onCallAt(this.ward, this.now) ?? inventedYear.clinicians[0];
  }

  private write(line: InventedLine, entry: Entry): void {
    const before = line.entries.length;
    line.entries.push(entry);
    line.state = foldNext(line.state, entry, () => line.entries.slice(0, before));
    this.changed(line);
  }

  private changed(line: InventedLine): void {
    this.hasChanged = true;
    this.onChange(line);
  }

  private states(): LineState[] {
    return this.listed.map(({ state }) => state);
  }

  /** What the bot does when it wakes, as `app/wake-ward.ts` has it. */
  private wake(): void {
    const { now } = this;
    const plan = planWake(this.ward, this.states(), now);
    for (const { lineId, draft } of plan.drafts) {
      const line = this.listed.find(({ id }) => id === lineId);
      if (!line) continue;
      const at = Math.max(now, line.state.latestAt);
      this.write(line, { at, told: now, by: bot, via: 'bot', ...draft } as Entry);
    }
    for (const draft of plan.wardDrafts) {
      this.recordOnWard(draft, bot);
      if (draft.kind === 'handedOver') this.expectAcceptance(draft.body.for);
    }
    this.auditMonth();
    for (const post of plan.posts) {
      if (post.to !== 'clinician' || !this.chance.happens(0.4)) continue;
      this.later(this.chance.between(1, 6) * minuteMs, () => this.claim(post.user, post.duties));
    }
    this.hasChanged = true;
  }

  /** The month's audit is posted by itself, as `app/audit-months.ts` has it. */
  private auditMonth(): void {
    const { ward, now } = this;
    if (now < this.auditAt) return;
    const states = this.lines.map(({ state }) => state);
    const owed = monthOwed(ward, states, now);
    if (owed) this.recordOnWard({ kind: 'audited', body: { from: owed.fromMs, to: owed.toMs } }, bot);
    this.auditAt = nextAuditAt(ward.policy.shifts, now);
  }

  private claim(
    user: string,
    duties: readonly { lineId: string; kind: Duty['kind']; dueAt: number }[],
  ): void {
    for (const [lineId, theirs] of Map.groupBy(duties, (duty) => duty.lineId)) {
      const line = this.listed.find(({ id }) => id === lineId);
      const pairs = theirs.map(({ kind, dueAt }): [Duty['kind'], number] => [kind, dueAt]);
      const until = this.now + this.ward.policy.claimMin * minuteMs;
      if (line) this.record(line, { kind: 'claimed', body: { duties: pairs, until } }, { by: user });
    }
  }

  /** Most handovers are accepted about the shift's start, some only after the ward was told that none was. */
  private expectAcceptance(startMs: number): void {
    const minutes = this.chance.happens(0.93) ? this.chance.between(-8, 25) : this.chance.between(35, 70);
    const at = Math.max(this.now + minuteMs, startMs + minutes * minuteMs);
    this.later(at - this.now, () =>
      this.recordOnWard({ kind: 'handoverAccepted', body: { for: startMs } }, this.nurseAt(startMs)),
    );
  }

  /** Lets go of lines that are closed, and finds when to wake next. */
  private look(): void {
    const { ward, now } = this;
    this.listed = this.listed.filter(({ state }) => !isClosed(state, ward.policy, now));
    const states = this.states();
    const held = visitsHeldUntil(ward, states, now);
    const next = Math.min(
      wardWakeAt(ward, states, now) ?? Number.POSITIVE_INFINITY,
      ...states.map((state) => lineWakeAt(state, ward, now, held.get(state.id)) ?? Number.POSITIVE_INFINITY),
    );
    this.wakeAt = Math.max(next, now + 1000);
    this.hasChanged = false;
  }
}

const bot = 'bot';

/** People give times in whole seconds at best. */
function wholeSecond(at: number): number {
  return Math.round(at / 1000) * 1000;
}
