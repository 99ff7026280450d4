import type { JobDeps } from './app-deps.ts';
import type { Post, WardView } from './ports.ts';

/** A search for a lost send reaches back to a little before the message was made, in ward time as the messages' own. */
const searchSlackMs = 5_000;
/** When what nobody could look at, copies or a reader's account, is looked at again, ms of real time. */
export const lookAgainMs = 30_000;

/**
 * Before the hash of a message that somebody must still look at: it was sent again while nobody could look whether it stood, so a
 * copy may stand beside it; or nobody could look up its reader's account.
 */
const mark = '2|';

/** The hash of a message that is to be looked at again. */
export function marked(hash: string): string {
  return `${mark}${hash}`;
}

/** Whether a message is to be looked at again, by its hash. */
export function isMarked(hash: string): boolean {
  return hash.startsWith(mark);
}

/** The hash of what a message says, whether it's to be looked at again or not. */
export function unmarked(hash: string): string {
  return isMarked(hash) ? hash.slice(mark.length) : hash;
}

/** Where a message was found, and whether it stands there alone now. */
interface FoundOne {
  sent: { place: string; id: string };
  isAlone: boolean;
}

/**
 * Where a post stands that may have been sent; further copies of it are taken away, as far as the platform takes that now.
 * Rejects where nobody can look.
 */
export async function findOne(
  { messenger }: Pick<JobDeps, 'messenger'>,
  wardId: string,
  post: Post,
  view: WardView,
  kept?: { place: string; id: string },
): Promise<FoundOne | null> {
  const found = await messenger.find(wardId, post, post.at - searchSlackMs, view);
  if (!found) return null;
  const { others = [], ...sent } = found;
  const { place, id: keptId } = kept ?? sent;
  try {
    for (const id of [sent.id, ...others]) if (id !== keptId) await messenger.takeAway(wardId, place, id);
  } catch {
    return { sent, isAlone: false };
  }
  return { sent, isAlone: true };
}

/** Whether no copy stands beside the message at `kept` any more: those that did are taken away. */
export function isAlone(
  deps: Pick<JobDeps, 'messenger'>,
  wardId: string,
  post: Post,
  kept: { place: string; id: string },
  view: WardView,
): Promise<boolean> {
  return findOne(deps, wardId, post, view, kept).then(
    (found) => found?.isAlone ?? true,
    () => false,
  );
}
