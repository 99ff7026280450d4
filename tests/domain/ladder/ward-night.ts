import type { Duty } from '../../../src/domain/duties/duty.ts';
import type { DutyKind } from '../../../src/domain/duty-kind.ts';
import { foldLine } from '../../../src/domain/fold/fold-line.ts';
import { lineWakeAt, planWake, wardWakeAt } from '../../../src/domain/ladder/plan-wake.ts';
import type { PlannedPost } from '../../../src/domain/ladder/wake-plan.ts';
import type { Entry } from '../../../src/domain/record/entry.ts';
import type { LineState } from '../../../src/domain/record/line-state.ts';
import { visitsHeldUntil } from '../../../src/domain/rounds/visit-gap.ts';
import type { WardEntry } from '../../../src/domain/ward/ward-entry.ts';
import { foldWardNext, type WardState } from '../../../src/domain/ward/ward-state.ts';
import type { LineLog } from '../../support/line-builder.ts';

export type Reader = 'ward' | 'nurse' | 'lead' | 'clinician' | 'backup' | 'nobody';

/** One reader told of one duty at one wake-up. */
export interface ToldOf {
  at: number;
  reader: Reader;
  user: string | null;
  duty: Duty;
}

/** A ward and its lines, woken and told things as a real one is; keeps what every reader was told. */
export class WardNight {
  ward: WardState;
  readonly logs: Map<string, Entry[]>;
  lines: LineState[];
  readonly told: ToldOf[] = [];
  /** What was added to a message that stood: nobody's phone rang. */
  readonly added: { at: number; reader: string; lineId: string; kind: DutyKind }[] = [];
  readonly posts: { at: number; post: PlannedPost }[] = [];
  wakes = 0;

  constructor(ward: WardState, logs: readonly LineLog[]) {
    this.ward = ward;
    this.logs = new Map(logs.map(({ id, entries }) => [id, [...entries]]));
    this.lines = logs.map(({ id, entries }) => foldLine(id, entries));
  }

  /** Writes an entry into a line's log. */
  record(lineId: string, entry: Entry): void {
    const log = this.logs.get(lineId);
    if (!log) throw new Error(`no line ${lineId}`);
    log.push(entry);
    this.lines = this.lines.map((line) => (line.id === lineId ? foldLine(lineId, log) : line));
  }

  /** Wakes the ward at `now` and writes down what it told, as one commit. */
  wake(now: number): PlannedPost[] {
    this.wakes += 1;
    const plan = planWake(this.ward, this.lines, now);
    for (const post of plan.posts) {
      this.posts.push({ at: now, post });
      if (!('duties' in post)) continue;
      if (post.what === 'nobody answered') continue;
      const reader = post.what === 'nobody on call' ? 'nobody' : post.to;
      for (const duty of post.duties)
        this.told.push({ at: now, reader, user: 'user' in post ? post.user : null, duty });
    }
    for (const { lineId, draft } of plan.drafts) {
      this.record(lineId, { at: now, told: now, by: 'bot', via: 'bot', ...draft } as Entry);
      if (draft.kind === 'escalated' && draft.body.joins !== undefined)
        for (const [kind] of draft.body.duties)
          this.added.push({ at: now, reader: draft.body.to, lineId, kind });
    }
    for (const draft of plan.wardDrafts) {
      this.ward = foldWardNext(this.ward, {
        at: now,
        told: now,
        by: 'bot',
        via: 'bot',
        ...draft,
      } as WardEntry);
    }
    return plan.posts;
  }

  /** The earliest instant on the ward's wake-up index, made from the record alone. */
  nextWake(now: number): number | null {
    const held = visitsHeldUntil(this.ward, this.lines, now);
    const instants = [
      wardWakeAt(this.ward, this.lines, now),
      ...this.lines.map((line) => lineWakeAt(line, this.ward, now, held.get(line.id))),
    ].filter((at) => at !== null);
    return instants.length > 0 ? Math.min(...instants) : null;
  }

  /** Wakes the ward at every instant its index asks for, from `fromMs` up to and including `toMs`. */
  runOnTime(fromMs: number, toMs: number, guard = 5000): void {
    for (
      let at = this.nextWake(fromMs);
      at !== null && at <= toMs;
      at = this.nextWake(Math.max(at, fromMs))
    ) {
      this.wake(Math.max(at, fromMs));
      guard -= 1;
      if (guard < 0) throw new Error(`the ward never comes to rest: woken over and over at ${at}`);
    }
  }

  /** What readers were told, as `HH:mm reader kind` where the test gives the clock. */
  script(clock: (at: number) => string, kinds?: readonly DutyKind[]): string[] {
    return this.told
      .filter(({ duty }) => kinds === undefined || kinds.includes(duty.kind))
      .map(({ at, reader, duty }) => `${clock(at)} ${reader} ${duty.kind}`);
  }
}
