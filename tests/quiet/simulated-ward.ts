import { dutiesOfLine, isClosed } from '../../src/domain/duties/duties-of-line.ts';
import type { Duty } from '../../src/domain/duties/duty.ts';
import { foldLine, foldNext } from '../../src/domain/fold/fold-line.ts';
import { lineWakeAt, planWake, wardWakeAt } from '../../src/domain/ladder/plan-wake.ts';
import type { PlannedPost } from '../../src/domain/ladder/wake-plan.ts';
import type { Entry, EntryDraft } from '../../src/domain/record/entry.ts';
import type { LineState } from '../../src/domain/record/line-state.ts';
import { visitsHeldUntil } from '../../src/domain/rounds/visit-gap.ts';
import { shiftAt } from '../../src/domain/shifts/shift-calendar.ts';
import type { WardDraft, WardEntry } from '../../src/domain/ward/ward-entry.ts';
import { foldWardNext, type WardState } from '../../src/domain/ward/ward-state.ts';
import { EventQueue } from '../../src/invented/event-queue.ts';

/** A duty as an entry names it. */
export type Named = Pick<Duty, 'lineId' | 'kind' | 'dueAt'>;

/** What a simulated ward tells whoever watches it. */
export interface Onlooker {
  /** A new message: a phone buzzes. */
  posted(post: PlannedPost, now: number): void;
  /** Something was added to a message that stands: no phone buzzes. */
  added(duties: readonly Named[], reader: PlannedPost['to'], madeAt: number, now: number): void;
  /** These duties of one line are open or to come. */
  open(duties: readonly Duty[]): void;
  /** A duty was cleared by an entry. */
  cleared(duty: Duty, now: number): void;
}

/**
 * A ward on a virtual clock: the real fold, the real duties and the real ladder, with nothing between them. Acts of its staff
 * wait in a queue; between two of them it wakes exactly when the ladder asks for it.
 */
export class SimulatedWard {
  now: number;
  readonly queue = new EventQueue();
  readonly lines = new Map<string, LineState>();
  private readonly wakes = new Map<string, number | null>();
  /** What each line's wake-up was worked out from. */
  private readonly armed = new Map<
    string,
    { line: LineState; ward: WardState; held: number | undefined; shiftMs: number }
  >();
  private heldUntil: ReadonlyMap<string, number> = new Map();
  private placedCount = 0;
  ward: WardState;
  private readonly onlooker: Onlooker;

  constructor(ward: WardState, startMs: number, onlooker: Onlooker) {
    this.ward = ward;
    this.now = startMs;
    this.onlooker = onlooker;
  }

  /** `act` is done `afterMs` from now. */
  later(afterMs: number, act: () => void): void {
    this.queue.add(this.now + Math.max(0, Math.round(afterMs)), act);
  }

  place(body: Extract<EntryDraft, { kind: 'placed' }>['body'], at = this.now): string {
    const id = `line${++this.placedCount}`;
    const entry = { kind: 'placed', body, at, told: this.now, by: body.nurse, via: 'form' } as const;
    this.lines.set(id, foldLine(id, [entry]));
    this.rearm(id);
    return id;
  }

  record(lineId: string, draft: EntryDraft, by: string): void {
    const before = this.lines.get(lineId);
    if (!before) return;
    const open = dutiesOfLine(before, this.ward.policy, this.now);
    const at = Math.max(this.now, before.latestAt);
    const after = foldNext(before, { ...draft, at, told: at, by, via: 'button' } as Entry, () => []);
    this.lines.set(lineId, after);
    const left = dutiesOfLine(after, this.ward.policy, this.now);
    for (const duty of open) {
      const stands = left.some(({ kind, dueAt }) => kind === duty.kind && dueAt === duty.dueAt);
      if (!stands) this.onlooker.cleared(duty, this.now);
    }
    this.rearm(lineId);
  }

  recordOnWard(draft: WardDraft, by: string): void {
    const entry = { ...draft, at: this.now, told: this.now, by, via: 'button' } as WardEntry;
    this.ward = foldWardNext(this.ward, entry);
    this.rearmAll();
  }

  duties(lineId: string): readonly Duty[] {
    const line = this.lines.get(lineId);
    return line ? dutiesOfLine(line, this.ward.policy, this.now) : [];
  }

  listed(): LineState[] {
    return [...this.lines.values()];
  }

  /** Runs until `untilMs`, taking the acts of the staff and the ladder's own wake-ups in the order of their times. */
  run(untilMs: number): void {
    for (;;) {
      const wakeAt = this.nextWake();
      const actAt = this.queue.nextAt();
      const at = Math.min(wakeAt, actAt);
      if (at > untilMs) break;
      this.now = Math.max(this.now, at);
      if (actAt <= wakeAt) this.queue.take()?.();
      else this.wake();
    }
    this.now = untilMs;
  }

  private wake(): void {
    const { now } = this;
    for (const [id, line] of this.lines)
      if (isClosed(line, this.ward.policy, now)) {
        this.lines.delete(id);
        this.wakes.delete(id);
        this.armed.delete(id);
      }
    const plan = planWake(this.ward, this.listed(), now);
    const head = { at: now, told: now, by: 'bot', via: 'bot' } as const;
    for (const { lineId, draft } of plan.drafts) {
      const line = this.lines.get(lineId);
      if (!line) continue;
      if (draft.kind === 'escalated' && draft.body.joins !== undefined)
        this.onlooker.added(
          draft.body.duties.map(([kind, dueAt]) => ({ lineId, kind, dueAt })),
          draft.body.to,
          draft.body.joins,
          now,
        );
      const at = Math.max(now, line.latestAt);
      this.lines.set(
        lineId,
        foldNext(line, { ...head, ...draft, at } as Entry, () => []),
      );
    }
    for (const draft of plan.wardDrafts)
      this.ward = foldWardNext(this.ward, { ...head, ...draft } as WardEntry);
    this.rearmAll();
    for (const post of plan.posts) this.onlooker.posted(post, now);
  }

  private rearm(lineId: string): void {
    const line = this.lines.get(lineId);
    if (line) this.rearmLine(line);
    this.wakes.set('ward', wardWakeAt(this.ward, this.listed(), this.now));
  }

  /** A line of which nothing changed keeps its wake-up while that is to come: a line's instants do not move by themselves. */
  private rearmLine(line: LineState): void {
    const { ward } = this;
    const held = this.heldUntil.get(line.id);
    const shiftMs = shiftAt(ward.policy.shifts, this.now).startMs;
    const before = this.armed.get(line.id);
    const known = this.wakes.get(line.id);
    const isSame =
      before?.line === line && before.ward === ward && before.held === held && before.shiftMs === shiftMs;
    if (isSame && (known === null || (known !== undefined && known > this.now))) return;
    if (before?.line !== line) this.onlooker.open(dutiesOfLine(line, ward.policy, this.now));
    this.wakes.set(line.id, lineWakeAt(line, ward, this.now, held));
    this.armed.set(line.id, { line, ward, held, shiftMs });
  }

  private rearmAll(): void {
    this.heldUntil = visitsHeldUntil(this.ward, this.listed(), this.now);
    for (const line of this.lines.values()) this.rearmLine(line);
    this.wakes.set('ward', wardWakeAt(this.ward, this.listed(), this.now));
  }

  private nextWake(): number {
    let next = Number.POSITIVE_INFINITY;
    for (const at of this.wakes.values()) if (at !== null && at < next) next = at;
    // A look that left something waiting for this very instant is taken a millisecond later, as the sweep would.
    return next <= this.now ? this.now + 1 : next;
  }
}
