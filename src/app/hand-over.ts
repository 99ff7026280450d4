import { owedLines } from '../domain/duties/duties-of-line.ts';
import type { ShiftHandover } from '../domain/handover/shift-handover.ts';
import type { LineState } from '../domain/record/line-state.ts';
import type { WardState } from '../domain/ward/ward-state.ts';
import type { AppDeps } from './app-deps.ts';
import type { Intent } from './decide-drafts.ts';
import { firstPostKey, handoverPosts } from './handover-posts.ts';
import { readHandover } from './handover-record.ts';
import type { WardView } from './ports.ts';
import { recordOnWard } from './record-on-ward.ts';

/** Posts the handover of every line that is in or followed up, now, on request; null when there is none. */
export async function handOver(deps: AppDeps, intent: Intent): Promise<WardView | null> {
  const now = deps.clock.now();
  const before = await deps.record.readWard(intent.wardId);
  const lines = owedLines(before.lines, before.ward.policy, now);
  if (lines.length === 0) return null;
  // It tells handovers apart: the one for a shift that starts this very millisecond is another.
  const taken = new Set(before.ward.handovers.map((one) => one.for));
  let forMs = now;
  while (taken.has(forMs)) forMs += 1;
  const result = await recordOnWard(
    deps,
    intent,
    { kind: 'handedOver', body: { for: forMs, auto: false, lines: lines.length } },
    (view, now) => handoverPosts(view, forMs, now),
  );
  return result.view;
}

/** What became of an acceptance. */
export type Acceptance =
  /** `unread`: lines to watch that were not read back, most urgent first. */
  | { is: 'accepted'; view: WardView; unread: LineState[] }
  | { is: 'accepted before'; by: string; at: number }
  | { is: 'an older one' };

/** A handover that was posted for `forMs` and still stands; null where it is forgotten or can change no more. */
export async function standingHandover(
  { record }: Pick<AppDeps, 'record'>,
  wardId: string,
  forMs: number,
): Promise<ShiftHandover | null> {
  const row = await record.readPost(wardId, firstPostKey(forMs));
  return row === null ? null : readHandover(record, wardId, row.post);
}

/**
 * The incoming nurse takes the ward over: from now on its lines are with them. `readBack`: which lines of *Watch* they read
 * back, by id, or all of them.
 */
export async function acceptHandover(
  deps: AppDeps,
  intent: Intent,
  forMs: number,
  readBack: 'all' | readonly string[],
): Promise<Acceptance> {
  const waits = ({ handovers }: WardState) =>
    handovers.some((one) => one.for === forMs && one.accepted === null);
  const watched = (await standingHandover(deps, intent.wardId, forMs))?.watch.map(({ line }) => line);
  const isRead = ({ id }: LineState) => readBack === 'all' || readBack.includes(id);
  const read = watched?.filter(isRead).map(({ id }) => id);
  const unread = (watched ?? []).filter((line) => !isRead(line));
  const result = await recordOnWard(
    deps,
    intent,
    { kind: 'handoverAccepted', body: { for: forMs, ...(read === undefined ? {} : { readBack: read }) } },
    () => [],
    waits,
  );
  if (result.is === 'taken') return { is: 'accepted', view: result.view, unread };
  const accepted = result.view.ward.handovers.find((one) => one.for === forMs)?.accepted;
  if (!accepted) return { is: 'an older one' };
  // The same press again, its answer lost: it stands.
  if (accepted.by === intent.by) return { is: 'accepted', view: result.view, unread };
  return { is: 'accepted before', by: accepted.by, at: accepted.at };
}
