import type { JobDeps } from '../../src/app/app-deps.ts';
import type { Clock } from '../../src/app/clock.ts';
import { placeLine } from '../../src/app/place-line.ts';
import type { Alarm, Messenger, Post, WardRecord, Watch } from '../../src/app/ports.ts';
import { recordOnWard } from '../../src/app/record-on-ward.ts';
import { minute, placedBody, wall } from '../support/line-builder.ts';

export const wardId = 'T0TEST.C0WARD';
/** Ward time at which the night begins, and up to which it is looked at: nothing is owed within minutes of its end. */
export const begins = wall('19:00');
export const ends = wall('21:20');

/** A chat platform that takes everything and notes each message and each update. */
export interface NotingMessenger extends Messenger {
  sent: Post[];
  updated: Post[];
}

export function notingMessenger(): NotingMessenger {
  const sent: Post[] = [];
  const updated: Post[] = [];
  return {
    sent,
    updated,
    compose: async (post, { lines }) => ({
      message: post.key,
      hash: lines.map(({ id, version }) => `${id} ${version}`).join(),
      settled: false,
    }),
    send: async (_, post) => ({ is: 'sent', place: 'C0WARD', id: String(sent.push(post)) }),
    async update(_, post, { place, id }) {
      updated.push(post);
      return { is: 'sent', place, id };
    },
    lookAtChannel: async () => 'open' as const,
    find: async () => null,
    takeAway: async () => undefined,
  };
}

/** A watch that keeps troubles and repairs. */
export function notingWatch(): Watch & { troubles: string[]; repairs: number } {
  const watch = {
    troubles: [] as string[],
    repairs: 0,
    entryAccepted() {},
    conflict() {},
    notified() {},
    posted() {},
    repaired(count: number) {
      watch.repairs += count;
    },
    trouble(what: string, _: object, cause?: unknown) {
      watch.troubles.push(`${what}: ${String(cause)}`);
    },
  };
  return watch;
}

/** What use cases need, on this record, clock and alarm. */
export function nightDeps(parts: {
  record: WardRecord;
  clock: Clock;
  alarm: Alarm;
  messenger: Messenger;
  watch: Watch;
}): JobDeps {
  let id = 0;
  return { ...parts, realNow: Date.now, newId: () => `line${++id}` };
}

/** Two dogs come onto the ward, and nobody does anything for them any more. */
export async function beginNight(parts: JobDeps): Promise<void> {
  // Both are told at one instant, however long the telling takes on a hurried clock.
  const deps = { ...parts, clock: { now: () => begins } };
  const intent = { wardId, by: 'nina', via: 'form' } as const;
  await recordOnWard(deps, intent, { kind: 'onCallSet', body: { user: 'vera' } });
  await placeLine(deps, { ...intent, at: begins }, placedBody());
  await placeLine(
    deps,
    { ...intent, at: begins - 25 * minute },
    placedBody({ patient: { name: 'Pretzel' } }),
  );
}

/**
 * One step of the ladder that the record says was taken: which line, duty, due time, and whom it reached. What was asked for
 * and is still open begins a visit again an hour later; a message of what is late says all that is, each time it is made.
 */
export async function stepsTaken(record: WardRecord): Promise<string[]> {
  const { lines } = await record.readWard(wardId);
  const steps: string[] = [];
  for (const { id } of lines) {
    for (const entry of await record.readLog(wardId, id)) {
      if (entry.kind !== 'nudged' && entry.kind !== 'escalated') continue;
      const to = entry.kind === 'nudged' ? 'ward' : entry.body.to;
      for (const [kind, dueAt] of entry.body.duties) steps.push(`${id} ${kind} ${dueAt} ${to}`);
    }
  }
  return steps;
}

/**
 * The steps that came again too soon: what is still open is said again with whatever is new, a nurse's visits being at least 5 min
 * apart; the clinician is told again until somebody acts.
 */
export async function toldTooSoon(record: WardRecord): Promise<string[]> {
  const { lines } = await record.readWard(wardId);
  const tooSoon: string[] = [];
  for (const { id } of lines) {
    const lastAt = new Map<string, number>();
    for (const entry of await record.readLog(wardId, id)) {
      if (entry.kind !== 'nudged' && entry.kind !== 'escalated') continue;
      const to = entry.kind === 'nudged' ? 'ward' : entry.body.to;
      if (to === 'clinician') continue;
      for (const [kind, dueAt] of entry.body.duties) {
        const step = `${id} ${kind} ${dueAt} ${to}`;
        if (entry.at < (lastAt.get(step) ?? Number.NEGATIVE_INFINITY) + 5 * minute) tooSoon.push(step);
        lastAt.set(step, entry.at);
      }
    }
  }
  return tooSoon;
}
