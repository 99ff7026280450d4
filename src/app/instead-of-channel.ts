import type { Asked } from '../domain/duties/duty-status.ts';
import { insteadOfChannel } from '../domain/ladder/channel-shut.ts';
import { nurseReached } from '../domain/ladder/people.ts';
import { visitAsOf } from '../domain/rounds/takeover.ts';
import type { WardState } from '../domain/ward/ward-state.ts';
import type { Post, WardView } from './ports.ts';

/** What can't wait for the channel: who must be told of it by direct message while nothing can be posted there. */
export const cannotWait: ReadonlySet<string> = new Set(['nobody on call', 'nobody answered', 'unreached']);

/**
 * As of when it is decided whose a round is, ms. A visit just before a shift starts is that shift's: whoever goes off is not called
 * for it. What speaks for itself, as the look after a hold, is whoever's has the line.
 */
export function belongsAsOf(post: Pick<Post, 'about' | 'at'>, { policy }: Pick<WardState, 'policy'>): number {
  return post.about?.what === 'visit' ? visitAsOf(policy, post.at) : post.at;
}

/**
 * What a post to the ward becomes while its channel is shut: a visit goes to the nurse it is with, what is cried out to whoever
 * leads the nurses or has the lines. Empty where it waits for the channel, as cards and handovers do, or where nobody is reached.
 */
export function insteadPosts(post: Post, { ward, lines }: WardView, now: number): Post[] {
  if (post.to !== 'ward') return [];
  const isVisit = post.kind === 'nudge';
  if (!isVisit && !cannotWait.has(post.about?.what ?? '')) return [];
  const asked = new Set(post.asked.map(({ lineId }) => lineId));
  const concerned = lines.filter(({ id }) => asked.has(id));
  const cried = insteadOfChannel(ward, concerned, now);
  const asOf = Math.max(now, belongsAsOf(post, ward));
  const toWhom = (asked: Asked): string[] => {
    const line = concerned.find(({ id }) => id === asked.lineId);
    const nurse = line ? nurseReached(ward, line, isVisit ? asOf : now) : null;
    return isVisit && nurse !== null ? [nurse] : cried;
  };
  const theirs = new Map<string, Asked[]>();
  for (const asked of post.asked)
    for (const user of toWhom(asked)) theirs.set(user, [...(theirs.get(user) ?? []), asked]);
  return [...theirs].map(([user, asked]) => ({
    ...post,
    key: `${post.key}.to.${user}`,
    to: { user },
    // What is cried out may be added to: then it is kept for every line that the notice was.
    lines: isVisit ? [...new Set(asked.map(({ lineId }) => lineId))] : post.lines,
    asked,
  }));
}

/** The posts as they are to be asked for now: those to a channel that is shut to people, where they can't wait for it. */
export function orInstead(posts: readonly Post[], view: WardView, now: number): Post[] {
  if (!view.ward.channelShut) return [...posts];
  return posts.flatMap((post) => {
    const instead = insteadPosts(post, view, now);
    return instead.length > 0 ? instead : [post];
  });
}
