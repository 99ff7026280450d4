import type { JobDeps } from './app-deps.ts';
import type { Post, WardView } from './ports.ts';

/** A search for a lost send reaches back to a little before the message was made, in ward time as the messages' own. */
const searchSlackMs = 5_000;
/** When copies that could not be looked for are looked for again, ms of real time. */
export const copiesAgainMs = 30_000;

/** Before the hash of a message that was sent again while nobody could look whether it stood: a copy may stand beside it. */
const mark = '2|';

export function marked(hash: string): string {
  return `${mark}${hash}`;
}

export function isMarked(hash: string): boolean {
  return hash.startsWith(mark);
}

export function unmarked(hash: string): string {
  return isMarked(hash) ? hash.slice(mark.length) : hash;
}

/** Where a post stands that may have been sent; further copies of it are taken away. Rejects where nobody can look. */
export async function findOne(
  { messenger }: Pick<JobDeps, 'messenger'>,
  wardId: string,
  post: Post,
  view: WardView,
): Promise<{ place: string; id: string } | null> {
  const found = await messenger.find(wardId, post, post.at - searchSlackMs, view);
  if (!found) return null;
  const { others = [], ...newest } = found;
  for (const id of others) await messenger.takeAway(wardId, newest.place, id);
  return newest;
}

/** Whether no copy stands beside the message at `kept` any more: those that did are taken away. */
export async function isAlone(
  { messenger }: Pick<JobDeps, 'messenger'>,
  wardId: string,
  post: Post,
  kept: { place: string; id: string },
  view: WardView,
): Promise<boolean> {
  try {
    const found = await messenger.find(wardId, post, post.at - searchSlackMs, view);
    const standing = found ? [found.id, ...(found.others ?? [])] : [];
    for (const id of standing) if (id !== kept.id) await messenger.takeAway(wardId, kept.place, id);
    return true;
  } catch {
    return false;
  }
}
