import type { WardState } from '../domain/ward/ward-state.ts';
import type { AppDeps } from './app-deps.ts';
import { calledOffPosts, coverSetPosts } from './cover-posts.ts';
import type { Intent } from './decide-drafts.ts';
import { noticePost } from './notice-post.ts';
import { onCallBackPosts } from './on-call-posts.ts';
import type { Post } from './ports.ts';
import { recordOnWard } from './record-on-ward.ts';
import { takeBackMs } from './take-back.ts';

/** What of a ward as a whole can be taken back with one tap. */
export type OfWard = keyof WardState['lastSet'];

/** What became of taking back what was set of a ward. `told`: when it was recorded, ms. */
export type TakenBackOfWard =
  | { is: 'taken back'; what: OfWard; ward: WardState; before: WardState }
  | { is: 'too late'; told: number }
  | { is: 'not theirs' }
  /** It was set anew since, or taken back before. */
  | { is: 'not the last' };

/**
 * Takes back what somebody has just set of a ward, the entry `number` of its log: who is on call or a cover, and what stood
 * before stands again; or the policy, and the one before is set once more. Only the latest, only by whoever set it.
 */
export async function takeBackOfWard(
  deps: AppDeps,
  intent: Intent,
  number: number,
): Promise<TakenBackOfWard> {
  const now = deps.clock.now();
  const state = await deps.record.readWardState(intent.wardId);
  const what = whatOf(state, number);
  const last = what && state.lastSet[what];
  if (!what || !last) return { is: 'not the last' };
  if (last.by !== intent.by) return { is: 'not theirs' };
  if (now - last.told > takeBackMs) return { is: 'too late', told: last.told };
  const policy = what === 'policy' ? state.lastSet.policy?.before : undefined;
  const result = await recordOnWard(
    deps,
    intent,
    policy ? { kind: 'policySet', body: { policy } } : { kind: 'takenBack', body: { target: number } },
    ({ ward: after }, at, before) => postsOf(what, after, before, intent.by, at),
    (latest) => whatOf(latest, number) === what,
  );
  if (result.is !== 'taken') return { is: 'not the last' };
  return { is: 'taken back', what, ward: result.view.ward, before: result.before };
}

function whatOf({ lastSet }: WardState, number: number): OfWard | undefined {
  return (['onCall', 'covers', 'policy'] as const).find((what) => lastSet[what]?.number === number);
}

/** Who hears of it. */
function postsOf(what: OfWard, after: WardState, before: WardState, by: string, now: number): Post[] {
  switch (what) {
    case 'onCall':
      return onCallBackPosts(after, before, by, now);
    case 'covers': {
      const { gone, again } = coversChanged(before, after, now);
      return [
        ...gone.flatMap((cover) => calledOffPosts(cover, by, now)),
        ...again.flatMap((cover) => coverSetPosts({ ...cover, setBy: by, at: now })),
      ];
    }
    case 'policy': {
      const about = { what: 'policy', user: by, for: after.policyVersion, text: 'taken back' };
      return [noticePost(`2.policyback.${now.toString(36)}`, 'ward', now, about)];
    }
  }
}

/** Covers that stand no more after a change at `now` (ms), and those that stand again or for longer. */
export function coversChanged(before: WardState, after: WardState, now: number) {
  const missing = (one: WardState, other: WardState) =>
    one.covers.filter(
      ({ number, until }) =>
        until > now && !other.covers.some((cover) => cover.number === number && cover.until >= until),
    );
  return { gone: missing(before, after), again: missing(after, before) };
}
