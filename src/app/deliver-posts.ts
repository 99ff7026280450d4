import type { JobDeps } from './app-deps.ts';
import { findOne, isAlone, isMarked, unmarked } from './copies.ts';
import { handoverFileOf } from './handover-posts.ts';
import { readHandover } from './handover-record.ts';
import { lookAtReader, readByNobody } from './look-at-reader.ts';
import type { Rank } from './pace.ts';
import { type OutboxPart, outboxPartOf, type PostRow, type WardView } from './ports.ts';
import { again, againAfterMs, followUp, type Made, settle, stands } from './settle-post.ts';
import { isServed, whileShut } from './shut-channel.ts';
import { personUnreached } from './unreached-person.ts';

/** A post with its words, before anybody looked where it stands. */
type Words = Pick<Made, 'row' | 'composed' | 'view'>;

/** When a message whose words are still being counted is composed again, ms of real time. */
const countedAgainMs = 5_000;
/** How long a send that may have happened waits for a look, ms of real time. */
const searchPatienceMs = 2 * 60_000;

/**
 * Sends and updates what waits in a ward's outbox until nothing is ready, then asks to be called again when something
 * will be. Words are made now, from the record as it is, so a message that waited is not stale when it comes.
 */
export async function deliverPosts(deps: JobDeps, wardId: string, rank: Rank = 'sending'): Promise<void> {
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
  const others = ready.filter((one) => one !== 'reminders').filter((one) => one !== part);
  if (againAt === null && others.length === 0) return { goesOn: false };
  // What waits for a shut channel stays ready: parts that call for each other would do so without end. Sweeps look at it.
  if ((await deps.record.readWardState(wardId)).channelShut) return { goesOn: false };
  for (const one of others) deps.behind?.[one].ask(wardId);
  if (againAt !== null) await deps.alarm.postsWaiting(wardId, againAt, part);
  return { goesOn: againAt !== null };
}

/** Sends and updates what is ready of a part; says when to be called again, and which other parts have something ready. */
async function deliverPart(
  deps: JobDeps,
  wardId: string,
  part: OutboxPart,
  rank: Rank = ranks[part],
): Promise<{ againAt: number | null; ready: OutboxPart[] }> {
  const { record, realNow, pace } = deps;
  let whereShut: { wardAfter?: string } = {};
  for (;;) {
    await pace?.turn(rank);
    const taken = await record.takePost(wardId, realNow(), part, whereShut);
    if ('againAt' in taken) return { againAt: taken.againAt, ready: taken.ready ?? [] };
    if (handoverFileOf(taken.row.post)) {
      // An upload takes seconds, and one that hangs longer: no reminder waits for it.
      const work = deliverFile(deps, wardId, taken.row).then((delivered) => {
        if (delivered === 'shut') whereShut = passedOver(taken.row, whereShut);
      });
      if (deps.behind) await work;
      else deps.aside?.(work);
      continue;
    }
    const delivered = await deliver(deps, wardId, taken.row);
    // Where one message hangs the next would as well: the ward is looked at again when the first is to be tried again.
    if (delivered === 'unclear') return { againAt: realNow() + againAfterMs[0], ready: [] };
    if (delivered === 'shut') whereShut = passedOver(taken.row, whereShut);
  }
}

/**
 * What's taken next of a ward whose channel is shut, after a post to it that waits: each that is to be sent has its turn, since some
 * can go to people; those that only change wait.
 */
function passedOver(
  { sent, post }: PostRow,
  { wardAfter = '' }: { wardAfter?: string },
): { wardAfter: string } {
  return { wardAfter: sent ? wardAfter : post.key };
}

const ranks: Record<OutboxPart, Rank> = { reminders: 'sending', handovers: 'handover', files: 'file' };

/** Files that a process is sending: one that takes longer than its post is held is not begun again meanwhile. */
const filesOnTheWay = new WeakMap<JobDeps, Set<string>>();

async function deliverFile(deps: JobDeps, wardId: string, row: PostRow): Promise<'shut' | void> {
  const { alarm, watch } = deps;
  const id = `${wardId} ${row.post.key}`;
  const sending = filesOnTheWay.get(deps) ?? new Set<string>();
  filesOnTheWay.set(deps, sending);
  if (sending.has(id)) return;
  sending.add(id);
  try {
    // It's as it was: called for again at once it would be taken up without end.
    if ((await deliver(deps, wardId, row)) === 'shut') return 'shut';
    // Tried again, or reported in words.
    await alarm.postsWaiting(wardId);
  } catch (cause) {
    watch.trouble('a file of a handover could not be delivered', { wardId, key: row.post.key }, cause);
  } finally {
    sending.delete(id);
  }
}

async function deliver(deps: JobDeps, wardId: string, row: PostRow): Promise<'unclear' | 'shut' | void> {
  const { record, messenger, clock, realNow, pace } = deps;
  const { post, sent } = row;
  // Nothing was tried: it is not composed, and not looked for later.
  const heldMs = messenger.heldMs?.(wardId, post, sent !== undefined) ?? 0;
  if (heldMs > 0) return record.postAgain(wardId, post.key, realNow() + heldMs);
  const rank = ranks[outboxPartOf(post.key)];
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
    const isToBeLookedAt = isMarked(sent.hash);
    const reader = isToBeLookedAt ? await lookAtReader(deps, wardId, post, composed) : 'reads';
    if (reader === 'reads nothing') await personUnreached(deps, wardId, post, true);
    const mayBeTwice = isToBeLookedAt && !(await isAlone(deps, wardId, post, sent, view));
    const made = { row, composed, view, mayBeTwice, mayBeUnread: reader === 'unknown' };
    if (unmarked(sent.hash) === composed.hash) return stands(deps, wardId, made, sent);
    const delivery = await messenger.update(wardId, post, sent, composed);
    return settle(deps, wardId, made, delivery, sent);
  }
  if (row.tryingSince === undefined) return sendFirst(deps, wardId, { row, composed, view }, false);
  return sendUnlessFound(deps, wardId, { row, composed, view }, row.tryingSince);
}

/** A message whose send was begun at `tryingSince`, ms of real time, with no answer: it is looked for before it is sent again. */
async function sendUnlessFound(
  deps: JobDeps,
  wardId: string,
  made: Words,
  tryingSince: number,
): Promise<'unclear' | 'shut' | void> {
  const { record, watch, realNow } = deps;
  const { row, composed, view } = made;
  const { post } = row;
  const found = await findOne(deps, wardId, post, view).catch(() => undefined);
  if (found === undefined) {
    // Not knowing is no ground for saying it twice, but for so long only: twice is better than never.
    // One that need not be sent any more can wait for the look: if it stands, it must be brought up to date.
    if (composed.superseded || realNow() - tryingSince < searchPatienceMs) {
      await again(deps, wardId, row);
      return 'unclear';
    }
    watch.trouble('a message that may stand is sent again, since nobody can look', { wardId, key: post.key });
  }
  if (!found) return sendFirst(deps, wardId, made, found === undefined);
  const reader = await lookAtReader(deps, wardId, post, composed);
  // It's kept up to date all the same: whoever is let back in finds it.
  if (reader === 'reads nothing') await personUnreached(deps, wardId, post, true);
  watch.posted('found');
  const { sent, isAlone: once } = found;
  // A file stays as it is.
  if (handoverFileOf(post)) return record.postDone(wardId, post.key, { ...sent, hash: composed.hash }, true);
  await followUp(deps, wardId, made, sent);
  // What it says may be old.
  const asFound = { ...composed, hash: '', settled: false };
  const mayBeUnread = reader === 'unknown';
  return stands(deps, wardId, { row, composed: asFound, view, mayBeTwice: !once, mayBeUnread }, sent);
}

async function sendFirst(
  deps: JobDeps,
  wardId: string,
  made: Words,
  mayBeTwice: boolean,
): Promise<'unclear' | 'shut' | void> {
  const { record, messenger, realNow } = deps;
  const { row, composed } = made;
  const { post } = row;
  // After an outage nobody is woken twice: the newer message, which waits as well, says it all.
  if (composed.superseded) return record.postDone(wardId, post.key, null, true);
  const reader = await lookAtReader(deps, wardId, post, composed);
  const looked = { ...made, mayBeTwice, mayBeUnread: reader === 'unknown' };
  if (reader === 'reads nothing') return settle(deps, wardId, looked, readByNobody);
  await record.postTrying(wardId, post.key, realNow());
  const delivery = await messenger.send(wardId, post, composed);
  return settle(deps, wardId, looked, delivery);
}
