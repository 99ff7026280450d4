import type { JobDeps } from './app-deps.ts';
import { lookAgainMs, marked } from './copies.ts';
import { fileLostPost, type HandoverFile, handoverFileOf, restOfHandover } from './handover-posts.ts';
import { type Composed, type Delivery, type Post, type PostRow, type WardView } from './ports.ts';
import { channelRefused } from './shut-channel.ts';
import { personUnreached } from './unreached-person.ts';

/** Waits between tries of a refused send, ms of real time; the last repeats. */
export const againAfterMs = [2_000, 5_000, 15_000, 60_000] as const;

/** Tries of a file of a handover, after which its thread says that it could not be added. */
const fileTries = 3;

/** The message stands as composed; where a copy may stand beside it, or nobody may read it, it's kept until somebody could look. */
export async function stands(
  { record, realNow }: JobDeps,
  wardId: string,
  { row, composed: { hash, settled }, mayBeTwice, mayBeUnread }: Made,
  { place, id }: { place: string; id: string },
): Promise<void> {
  const { key } = row.post;
  if (!mayBeTwice && !mayBeUnread) return record.postDone(wardId, key, { place, id, hash }, settled);
  return record.postDone(wardId, key, { place, id, hash: marked(hash) }, false, realNow() + lookAgainMs);
}

/** A post with its words, and what they were made from. */
export interface Made {
  row: PostRow;
  composed: Composed;
  view: WardView;
  /** It was sent again though it may have stood, since nobody could look. */
  mayBeTwice: boolean;
  /** It's a call to somebody whose account nobody could look up. */
  mayBeUnread: boolean;
}

/** Writes down what became of a send or an update, and asks for what follows from it. */
export async function settle(
  deps: JobDeps,
  wardId: string,
  made: Made,
  delivery: Delivery,
  sent?: { place: string; id: string },
): Promise<'unclear' | 'shut' | void> {
  const { row, composed } = made;
  const { record, watch, realNow } = deps;
  const { key } = row.post;
  watch.posted(delivery.is);
  const file = handoverFileOf(row.post);
  const isLost = delivery.is === 'refused' || (delivery.is === 'unclear' && row.tries >= fileTries - 1);
  if (file && isLost) return fileLost(deps, wardId, row.post, file);
  switch (delivery.is) {
    case 'sent': {
      const { place, id } = sent ?? delivery;
      if (!sent) await followUp(deps, wardId, made, delivery);
      await stands(deps, wardId, made, { place, id });
      if (row.post.kind === 'card') deps.cardStands?.(wardId);
      // Not waited for: a reminder that comes next must not.
      if (!sent) void addPictures(deps, wardId, row.post, { place, id });
      return;
    }
    case 'wait':
      return record.postAgain(wardId, key, realNow() + delivery.ms);
    case 'shut':
      await channelRefused(deps, wardId, row, delivery.why);
      return 'shut';
    case 'unclear':
      await again(deps, wardId, row);
      return 'unclear';
    case 'refused':
      if (!delivery.forGood) return again(deps, wardId, row);
      watch.trouble('a message was refused for good', { wardId, key, reason: delivery.why });
      // The ward is told before the row goes: a stop in between must not lose it. Told twice it stands once.
      if (!sent) await personUnreached(deps, wardId, row.post, delivery.nobodyReads === true);
      await record.postDone(wardId, key, null, true);
      if (!sent) return;
      return composed.settled ? undefined : standAnew(deps, wardId, row.post);
  }
}

/** A file that could not be added: the thread says so, and where the page can still be had. */
async function fileLost(
  { record, watch }: JobDeps,
  wardId: string,
  post: Post,
  file: HandoverFile,
): Promise<void> {
  watch.trouble('a file could not be added to a handover', { wardId, key: post.key });
  const posts = [fileLostPost(post, file)];
  await record.commit(wardId, { once: `${post.key}.lost`, lines: [], wakes: {}, posts });
  await record.postDone(wardId, post.key, null, true);
}

/**
 * Asks for the messages that follow the first of a handover, which stands at `sent`. Before the first is written down as sent: a
 * stop in between finds it again and asks once more, and what was asked for stands once.
 */
export async function followUp(
  { record, alarm, behind }: JobDeps,
  wardId: string,
  { row: { post }, composed: { pages }, view: { handedOver } }: Pick<Made, 'row' | 'composed' | 'view'>,
  sent: { id: string },
): Promise<void> {
  if (!pages || !handedOver) return;
  const posts = restOfHandover(post, handedOver, pages, sent.id);
  await record.commit(wardId, { once: `${post.key}.rest`, lines: [], wakes: {}, posts });
  // Whoever sends handovers behind all else goes on to them by itself.
  if (!behind) await alarm.postsWaiting(wardId);
}

/** Asks for another try, later with each. */
export async function again(
  { record, realNow }: JobDeps,
  wardId: string,
  { post, tries }: PostRow,
): Promise<void> {
  const waitMs = againAfterMs[Math.min(tries, againAfterMs.length - 1)] ?? 60_000;
  await record.postAgain(wardId, post.key, realNow() + waitMs);
}

/** Pictures below a message that says all in words: where they cannot be added, only the operator hears of it. */
async function addPictures(
  { messenger, watch }: JobDeps,
  wardId: string,
  post: Post,
  sent: { place: string; id: string },
): Promise<void> {
  try {
    await messenger.addPictures?.(wardId, post, sent);
  } catch (cause) {
    watch.trouble('pictures could not be added to a message', { wardId, key: post.key }, cause);
  }
}

/** A card or the first message of a handover that was taken away by hand stands anew while it has something to ask. */
async function standAnew({ record, alarm }: JobDeps, wardId: string, post: Post): Promise<void> {
  if (post.kind !== 'card' && post.about?.what !== 'accept') return;
  await record.commit(wardId, { lines: [], wakes: {}, posts: [post] });
  await alarm.postsWaiting(wardId);
}
