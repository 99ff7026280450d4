import { animalsRecord } from '../../src/app/animals-record.ts';
import type { JobDeps } from '../../src/app/app-deps.ts';
import { type HurriedClock, hurriedClock } from '../../src/app/clock.ts';
import { placeLine } from '../../src/app/place-line.ts';
import type { Composed, Delivery, Messenger, Post, WardRecord } from '../../src/app/ports.ts';
import { defaultPolicy } from '../../src/domain/policy/ward-policy.ts';
import type { LineState } from '../../src/domain/record/line-state.ts';
import { type PlacedChanges, placedBody, wardZone } from './line-builder.ts';
import { memoryRecord } from './memory-record.ts';

export const wardId = 'T0TEST.C0WARD';

/** The use cases on a record in memory, a clock that only jumps, and a chat platform that notes what it is sent. */
export interface AppOnMemory {
  deps: JobDeps;
  record: WardRecord;
  clock: HurriedClock;
  /** Real time, ms, moved by hand. */
  real: { now: number };
  sent: { post: Post; composed: Composed; how: 'sent' | 'updated' }[];
  /** The next deliveries, in order; `sent` once they run out. */
  outcomes: Delivery[];
  /** What `find` answers; an error is thrown. */
  found: { answer: { place: string; id: string; others?: string[] } | null | Error };
  /** What the platform says of whoever a call goes to. */
  reader: { is: 'reads' | 'reads nothing' | 'unknown' };
  /** Messages that were taken away. */
  takenAway: string[];
  troubles: string[];
  repaired: number[];
  place(changes?: PlacedChanges, at?: number): Promise<LineState>;
}

export function appOnMemory(startMs: number): AppOnMemory {
  const real = { now: 1_000_000 };
  const clock = hurriedClock(startMs, 1, () => 0);
  const record = animalsRecord(memoryRecord(defaultPolicy(wardZone)));
  const sent: AppOnMemory['sent'] = [];
  const outcomes: Delivery[] = [];
  const found: AppOnMemory['found'] = { answer: null };
  const takenAway: string[] = [];
  const reader: AppOnMemory['reader'] = { is: 'reads' };
  const troubles: string[] = [];
  const repaired: number[] = [];
  let id = 0;
  const next = (post: Post, composed: Composed, how: 'sent' | 'updated'): Delivery => {
    const outcome = outcomes.shift() ?? { is: 'sent' as const, place: 'C0WARD', id: `m${sent.length + 1}` };
    if (outcome.is === 'sent') sent.push({ post, composed, how });
    return outcome;
  };
  const messenger: Messenger = {
    compose: async (post, view) => {
      const version = view.lines.map((line) => line.version).join('.');
      return { message: post.key, hash: `${post.key}|${version}`, settled: post.kind === 'handover' };
    },
    send: async (_ward, post, composed) => next(post, composed, 'sent'),
    update: async (_ward, post, _sent, composed) => next(post, composed, 'updated'),
    lookAtReader: async () => reader.is,
    lookAtChannel: async () => 'open' as const,
    find: async () => {
      if (found.answer instanceof Error) throw found.answer;
      return found.answer;
    },
    takeAway: async (_ward, _place, id) => void takenAway.push(id),
  };
  const deps: JobDeps = {
    record,
    clock,
    messenger,
    realNow: () => real.now,
    newId: () => `line${++id}`,
    alarm: { wakeAt: async () => undefined, postsWaiting: async () => undefined },
    watch: {
      entryAccepted: () => undefined,
      conflict: () => undefined,
      notified: () => undefined,
      posted: () => undefined,
      repaired: (count) => repaired.push(count),
      trouble: (what) => troubles.push(what),
    },
  };
  return {
    deps,
    record,
    clock,
    real,
    sent,
    outcomes,
    found,
    reader,
    takenAway,
    troubles,
    repaired,
    async place(changes = {}, at) {
      const intent = { wardId, by: 'nina', via: 'form' as const, ...(at === undefined ? {} : { at }) };
      const placed = await placeLine(deps, intent, placedBody(changes));
      if (placed.is !== 'placed') throw new Error(`not placed: ${placed.is}`);
      return placed.line;
    },
  };
}
