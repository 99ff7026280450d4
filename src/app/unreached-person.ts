import { isUnreached } from '../domain/ward/unreached.ts';
import type { JobDeps } from './app-deps.ts';
import type { Post } from './ports.ts';
import { recordOnWard } from './record-on-ward.ts';

/**
 * Someone could not be reached by direct message: the ward hears so, with what they should have been told. Where no message
 * reaches them (`nobodyReads`) what they were told counts as not told, and the ladder goes on to the next at once.
 */
export async function personUnreached(
  deps: JobDeps,
  wardId: string,
  post: Post,
  nobodyReads: boolean,
): Promise<void> {
  const { record, alarm, clock } = deps;
  if (post.to === 'ward') return;
  const { user } = post.to;
  const ward = await record.readWardState(wardId);
  // The ward knows already, and the next person was told what waits.
  const isKnown = isUnreached(ward, user, clock.now()) && post.asked.length === 0;
  const posts = isKnown || isForThemAlone(post) ? [] : [unreachedPost(post, user)];
  const once = `0.unreached.${post.key.slice(2)}`;
  if (nobodyReads) {
    await recordOnWard(
      deps,
      { wardId, by: 'bot', via: 'bot', once },
      { kind: 'unreached', body: { user } },
      () => posts,
    );
  } else await record.commit(wardId, { once, lines: [], wakes: {}, posts });
  await alarm.postsWaiting(wardId);
}

/**
 * Nobody counts on hearing that they are relieved, or covered, as on the rest; whose decision a line was stands on its card; what
 * is one person's own is not for the ward.
 */
function isForThemAlone({ kind, about }: Post): boolean {
  return kind === 'report' || ['off call', 'covered', 'decided'].includes(about?.what ?? '');
}

function unreachedPost(post: Post, user: string): Post {
  return {
    ...post,
    key: `0.unreached.${post.key.slice(2)}`,
    kind: 'notice',
    to: 'ward',
    about: {
      what: 'unreached',
      user,
      ...(post.about?.what === undefined ? {} : { text: post.about.what }),
      ...(post.about?.for === undefined ? {} : { for: post.about.for }),
    },
  };
}
