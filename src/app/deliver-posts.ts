import type { JobDeps } from './app-deps.ts';
import { copiesAgainMs, findOne, isAlone, isMarked, marked, unmarked } from './copies.ts';
import { fileLostPost, type HandoverFile, handoverFileOf, restOfHandover } from './handover-posts.ts';
import { readHandover } from './handover-record.ts';
import type { Rank } from './pace.ts';
import {
  type Composed,
  type Delivery,
  type OutboxPart,
  outboxPartOf,
  type Post,
  type PostRow,
  type WardView,
} from './ports.ts';
import { channelRefused, isServed, whileShut } from './shut-channel.ts';
import { personUnreached } from './unreached-person.ts';

/** Waits between tries of a refused send, ms of real time; the last repeats. */
const againAfterMs = [2_000, 5_000, 15_000, 60_000] as const;
/** When a message whose words are still being counted is composed again, ms of real time. */
const countedAgainMs = 5_000;
/** How long a send that may have happened waits for a look, ms of real time. */
const searchPatienceMs = 2 * 60_000;

/**
 * Sends and updates what waits in a ward's outbox until nothing is ready, then asks to be called again when something
 * will be. Words are made now, from the record as it is, so a message that waited is not stale when it comes.
 */
export async function deliverPosts(deps: JobDeps, wardId: string, rank: Rank = 'reminder'): Promise<void> {
  const { alarm, behind } = deps;
  if (!(await isServed(deps, wardId))) return;
  const { againAt, ready } = await deliverPart(deps, wardId, 'reminders', rank);
  if (againAt !== null) await alarm.postsWaiting(wardId, againAt);
  for (const part of ready) {
    if (part === 'reminders') continue;
    if (behind) behind[part].ask(wardId);
    else await deliverBehind(deps, wardId, part);
  }
}

/** Sends what is ready of a ward's handovers, or of their files; says whether more of it waits. */
export async function deliverBehind(
  deps: JobDeps,
  wardId: string,
  part: Exclude<OutboxPart, 'reminders'>,
): Promise<{ goesOn: boolean }> {
  if (!(await isServed(deps, wardId))) return { goesOn: false };
  const { againAt, ready } = await deliverPart(deps, wardId, part);
  for (const one of ready) if (one !== 'reminders' && one !== part) deps.behind?.[one].ask(wardId);
  if (againAt !== null) await deps.alarm.postsWaiting(wardId, againAt, part);
  return { goesOn: againAt !== null };
}

/** Sends and updates what is ready of a part; says when to be called again, and which other parts have something ready. */
async function deliverPart(
  deps: JobDeps,
  wardId: string,
  part: OutboxPart,
  rank: Rank = rankOf(part),
): Promise<{ againAt: number | null; ready: OutboxPart[] }> {
  const { record, realNow, pace } = deps;
  let peopleOnly = false;
  for (;;) {
    await pace?.turn(rank);
    const taken = await record.takePost(wardId, realNow(), part, { peopleOnly });
    if ('againAt' in taken) return { againAt: taken.againAt, ready: taken.ready ?? [] };
    if (handoverFileOf(taken.row.post)) {
      // An upload takes seconds, and one that hangs longer: no reminder waits for it.
      const work = deliverFile(deps, wardId, taken.row);
      if (deps.behind) await work;
      else deps.aside?.(work);
      continue;
    }
    const delivered = await deliver(deps, wardId, taken.row);
    // Where one message hangs the next would as well: the ward is looked at again when the first is to be tried again.
    if (delivered === 'unclear') return { againAt: realNow() + againAfterMs[0], ready: [] };
    if (delivered === 'shut') peopleOnly = true;
  }
}

const rankOf = (part: OutboxPart): Rank => (part === 'reminders' ? 'reminder' : 'handover');

/** Tries of a file of a handover, after which its thread says that it could not be added. */
const fileTries = 3;

/** Files that a process is sending: one that takes longer than its post is held is not begun again meanwhile. */
const filesOnTheWay = new WeakMap<JobDeps, Set<string>>();

async function deliverFile(deps: JobDeps, wardId: string, row: PostRow): Promise<void> {
  const { alarm, watch } = deps;
  const id = `${wardId} ${row.post.key}`;
  const sending = filesOnTheWay.get(deps) ?? new Set<string>();
  filesOnTheWay.set(deps, sending);
  if (sending.has(id)) return;
  sending.add(id);
  try {
    await deliver(deps, wardId, row);
    // Tried again, or reported in words.
    await alarm.postsWaiting(wardId);
  } catch (cause) {
    watch.trouble('a file of a handover could not be delivered', { wardId, key: row.post.key }, cause);
  } finally {
    sending.delete(id);
  }
}

async function deliver(deps: JobDeps, wardId: string, row: PostRow): Promise<'unclear' | 'shut' | void> {
  const { record, messenger, clock, watch, realNow, pace } = deps;
  const { post, sent } = row;
  // Nothing was tried: it is not composed, and not looked for later.
  const heldMs = messenger.heldMs?.(wardId, post, sent !== undefined) ?? 0;
  if (heldMs > 0) return record.postAgain(wardId, post.key, realNow() + heldMs);
  const rank = rankOf(outboxPartOf(post.key));
  const breath = async () => pace?.turn(rank);
  const [ward, lines] = await Promise.all([
    record.readWardState(wardId),
    record.readLines(wardId, post.lines),
  ]);
  if (post.to === 'ward' && ward.channelShut) {
    const became = await whileShut(deps, wardId, row, { ward, lines });
    return became === 'waits' ? 'shut' : undefined;
  }
  const view: WardView = {
    ward,
    lines,
    ...(post.kind === 'handover' ? { handedOver: await readHandover(record, wardId, post, breath) } : {}),
  };
  await breath();
  const composed = await messenger.compose(post, view, clock.now());
  if (composed.notYet) return record.postAgain(wardId, post.key, realNow() + countedAgainMs);
  if (sent) {
    const mayBeTwice = isMarked(sent.hash) && !(await isAlone(deps, wardId, post, sent, view));
    const made = { row, composed, view, mayBeTwice };
    if (unmarked(sent.hash) === composed.hash) return stands(deps, wardId, made, sent);
    const delivery = await messenger.update(wardId, post, sent, composed);
    return settle(deps, wardId, made, delivery, sent);
  }
  let mayBeTwice = false;
  if (row.tryingSince !== undefined) {
    const found = await findOne(deps, wardId, post, view).catch(() => undefined);
    if (found === undefined) {
      // Not knowing is no ground for saying it twice, but for so long only: twice is better than never.
      // One that need not be sent any more can wait for the look: if it stands, it must be brought up to date.
      if (composed.superseded || realNow() - row.tryingSince < searchPatienceMs) {
        await again(deps, wardId, row);
        return 'unclear';
      }
      watch.trouble('a message that may stand is sent again, since nobody can look', {
        wardId,
        key: post.key,
      });
      mayBeTwice = true;
    }
    if (found) {
      watch.posted('found');
      // A file stays as it is.
      if (handoverFileOf(post))
        return record.postDone(wardId, post.key, { ...found, hash: composed.hash }, true);
      await followUp(deps, wardId, { row, composed, view, mayBeTwice }, found);
      return record.postDone(wardId, post.key, { ...found, hash: '' }, false);
    }
  }
  // After an outage nobody is woken twice: the newer message, which waits as well, says it all.
  if (composed.superseded) return record.postDone(wardId, post.key, null, true);
  await record.postTrying(wardId, post.key, realNow());
  const delivery = await messenger.send(wardId, post, composed);
  return settle(deps, wardId, { row, composed, view, mayBeTwice }, delivery);
}

/** The message stands as composed; where a copy may stand beside it, it is kept until somebody could look. */
async function stands(
  { record, realNow }: JobDeps,
  wardId: string,
  { row, composed: { hash, settled }, mayBeTwice }: Made,
  { place, id }: { place: string; id: string },
): Promise<void> {
  const { key } = row.post;
  if (!mayBeTwice) return record.postDone(wardId, key, { place, id, hash }, settled);
  await record.postDone(wardId, key, { place, id, hash: marked(hash) }, false);
  await record.postAgain(wardId, key, realNow() + copiesAgainMs);
}

/** A post with its words, and what they were made from. */
interface Made {
  row: PostRow;
  composed: Composed;
  view: WardView;
  /** It was sent again though it may have stood, since nobody could look. */
  mayBeTwice: boolean;
}

async function settle(
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
async function followUp(
  { record, alarm, behind }: JobDeps,
  wardId: string,
  { row: { post }, composed: { pages }, view: { handedOver } }: Made,
  sent: { id: string },
): Promise<void> {
  if (!pages || !handedOver) return;
  const posts = restOfHandover(post, handedOver, pages, sent.id);
  await record.commit(wardId, { once: `${post.key}.rest`, lines: [], wakes: {}, posts });
  // Whoever sends handovers behind all else goes on to them by itself.
  if (!behind) await alarm.postsWaiting(wardId);
}

async function again({ record, realNow }: JobDeps, wardId: string, { post, tries }: PostRow): Promise<void> {
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
