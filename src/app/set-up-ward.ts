import type { WardPolicy } from '../domain/policy/ward-policy.ts';
import type { WardDraft } from '../domain/ward/ward-entry.ts';
import type { AppDeps } from './app-deps.ts';
import type { Intent } from './decide-drafts.ts';
import { noticePost } from './notice-post.ts';
import { onCallPosts } from './on-call-posts.ts';
import type { Post } from './ports.ts';
import { recordOnWard, type WardResult } from './record-on-ward.ts';

/** The message that offers to set a ward up and, once somebody did, says what was set. One for each ward. */
const setUpKey = '2.setup';

const setUpPost = (key: string, now: number): Post => noticePost(key, 'ward', now, { what: 'set up' });

/** What became of the offer: posted now; it stands already; or the ward is in use and needs none. */
export type Offered = 'offered' | 'stands' | 'in use';

/**
 * Offers to set a channel up as a ward, in one message. Nothing is offered where anything was recorded of the ward before.
 * `once`: the key of what asked for it, which may come twice.
 */
export async function offerSetUp(deps: AppDeps, wardId: string, once: string): Promise<Offered> {
  const { record, clock, alarm } = deps;
  const { ward, lines } = await record.readWard(wardId);
  if (ward.version > 0 || lines.length > 0) return 'in use';
  if ((await record.readPost(wardId, setUpKey)) !== null) return 'stands';
  const posts = [setUpPost(setUpKey, clock.now())];
  const { is } = await record.commit(wardId, { once, lines: [], wakes: {}, posts });
  await alarm.postsWaiting(wardId);
  return is === 'written' ? 'offered' : 'stands';
}

/**
 * Sets a ward up that nobody has set up: its policy, and who is on call from now on, in one change. Whoever is on call is told;
 * the channel reads it in the message that offered it, or in a new one where none stands.
 */
export async function setUpWard(
  deps: AppDeps,
  intent: Intent,
  policy: WardPolicy,
  onCall: string | null,
): Promise<WardResult> {
  const stands = (await deps.record.readPost(intent.wardId, setUpKey)) !== null;
  const drafts: WardDraft[] = [
    { kind: 'policySet', body: { policy } },
    ...(onCall === null ? [] : [{ kind: 'onCallSet', body: { user: onCall } } as const]),
  ];
  return recordOnWard(
    deps,
    intent,
    drafts,
    (view, now, before) => [
      ...(stands ? [] : [setUpPost(`${setUpKey}.${now.toString(36)}`, now)]),
      ...(onCall === null ? [] : onCallPosts(view.ward, before, onCall, intent.by, now)).filter(
        ({ to }) => to !== 'ward',
      ),
    ],
    (ward) => ward.policySet === null,
  );
}
