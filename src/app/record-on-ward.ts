import { isClosed } from '../domain/duties/duties-of-line.ts';
import { lineWakeAt, wardWakeAt } from '../domain/ladder/plan-wake.ts';
import type { WardDraft, WardEntry } from '../domain/ward/ward-entry.ts';
import { foldWardNext, type WardState } from '../domain/ward/ward-state.ts';
import type { AppDeps } from './app-deps.ts';
import { callFor } from './call-for.ts';
import type { Intent } from './decide-drafts.ts';
import type { Post, WardView } from './ports.ts';

/** What became of what somebody recorded of the ward. */
export type WardResult =
  | { is: 'taken'; view: WardView; before: WardState }
  | { is: 'repeat'; view: WardView }
  /** `accepts` said no to the ward as it was then; nothing was written. */
  | { is: 'not taken'; view: WardView };

const attempts = 20;

/**
 * Takes a draft entry about the ward as a whole into its log, or several as one: policy, who is on call, handovers. Every standing message is
 * looked at again, and every line's next wake-up is set anew, since all of them may hang on it.
 * `posts` may ask for messages with it, from the ward as it is then and was before. `accepts` is asked at every attempt,
 * so that of two who record the same at once only one is believed.
 */
export async function recordOnWard(
  deps: AppDeps,
  intent: Intent,
  draft: WardDraft | readonly WardDraft[],
  posts: (view: WardView, now: number, before: WardState) => Post[] = () => [],
  accepts: (ward: WardState) => boolean = () => true,
): Promise<WardResult> {
  const { record, clock, alarm, watch } = deps;
  const drafts = [draft].flat() as WardDraft[];
  for (let attempt = 1; ; attempt++) {
    const now = clock.now();
    const { ward, lines } = await record.readWard(intent.wardId);
    if (!accepts(ward)) return { is: 'not taken', view: { ward, lines } };
    const head = { at: intent.at ?? now, told: now, by: intent.by, via: intent.via };
    const entries = drafts.map((one) => ({ ...head, ...one }) as WardEntry);
    const after = entries.reduce(foldWardNext, ward);
    const wakes: Record<string, number | null> = { ward: wardWakeAt(after, lines, now) };
    for (const line of lines) wakes[line.id] = lineWakeAt(line, after, now);
    const view = { ward: after, lines };
    const committed = await record.commit(intent.wardId, {
      ...(intent.once === undefined ? {} : { once: intent.once }),
      // The lines are named so that no wake-up is set from what somebody has changed meanwhile.
      lines: lines.map((line) => ({
        id: line.id,
        expected: line.version,
        entries: [],
        after: line,
        listed: !isClosed(line, after.policy, now),
      })),
      ward: { expected: ward.version, entries, after },
      wakes,
      posts: posts(view, now, ward),
      touchAll: true,
    });
    if (committed.is === 'already') return { is: 'repeat', view: { ward, lines } };
    if (committed.is === 'conflict') {
      watch.conflict();
      if (attempt < attempts) continue;
      throw new Error(`the ward's log kept changing: ${attempts} attempts`);
    }
    for (const { kind } of drafts) watch.entryAccepted(kind);
    await callFor(alarm, intent.wardId, committed.armed);
    return { is: 'taken', view, before: ward };
  }
}
