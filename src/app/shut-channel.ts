import { owedLines } from '../domain/duties/duties-of-line.ts';
import type { ShutReason } from '../domain/ward/channel.ts';
import type { WardDraft } from '../domain/ward/ward-entry.ts';
import type { JobDeps } from './app-deps.ts';
import { insteadPosts } from './instead-of-channel.ts';
import type { Messenger, Post, PostRow, WardView } from './ports.ts';
import { recordOnWard } from './record-on-ward.ts';

/** How often a channel that is shut is looked at, where nothing says that it is open again; ms of real time. */
const lookAgainMs = 25_000;

/** When a process looked at each shut channel, real ms. */
const lookedAt = new WeakMap<Messenger, Map<string, number>>();

/** What the platform's answer about a channel is worth: recorded for the ward, where it is news. */
async function recordNews(
  deps: JobDeps,
  wardId: string,
  draft: WardDraft & { kind: 'channelShut' | 'channelOpened' },
  posts: (view: WardView, now: number) => Post[] = () => [],
): Promise<void> {
  const result = await recordOnWard(
    deps,
    { wardId, by: 'bot', via: 'bot' },
    draft,
    posts,
    ({ channelShut }) =>
      draft.kind === 'channelOpened' ? channelShut !== null : channelShut?.why !== draft.body.why,
  );
  if (result.is !== 'taken') return;
  if (draft.kind === 'channelShut')
    deps.watch.trouble('a ward’s channel can’t be posted in', { wardId, reason: draft.body.why });
  else {
    const { ward, lines } = result.view;
    if (owedLines(lines, ward.policy, deps.clock.now()).length > 0) deps.firstLineIn?.(wardId);
  }
}

/**
 * A post to the ward was refused since nothing can be posted in its channel: it waits until that can be, or goes to people
 * where it can't wait. From here on the ward is known to be told by direct message.
 */
export async function channelRefused(
  deps: JobDeps,
  wardId: string,
  row: PostRow,
  why: ShutReason,
): Promise<void> {
  await deps.record.postAgain(wardId, row.post.key, deps.realNow());
  await recordNews(deps, wardId, { kind: 'channelShut', body: { why } });
  const ward = await deps.record.readWardState(wardId);
  await goInstead(deps, wardId, row, {
    ward,
    lines: await deps.record.readLines(wardId, row.post.lines),
  });
}

/** Whether a post that was not sent went to people instead of the channel. */
async function goInstead(deps: JobDeps, wardId: string, row: PostRow, view: WardView): Promise<boolean> {
  const { record, alarm, clock } = deps;
  if (row.sent) return false;
  const posts = insteadPosts(row.post, view, clock.now());
  if (posts.length === 0) return false;
  const once = `${row.post.key}.instead`;
  const committed = await record.commit(wardId, { once, lines: [], wakes: {}, posts });
  // It may stand in the channel, with its buttons: it's looked for once that is back.
  const mayStand = row.tryingSince !== undefined;
  if (!mayStand) await record.postDone(wardId, row.post.key, null, true);
  if (!mayStand || committed.is === 'written') await alarm.postsWaiting(wardId);
  return !mayStand;
}

/**
 * A post to a channel that is shut. `gone`: it went to people instead. `open`: the channel can be posted in again. Else it
 * waits.
 */
export async function whileShut(
  deps: JobDeps,
  wardId: string,
  row: PostRow,
  view: WardView,
): Promise<'gone' | 'open' | 'waits'> {
  const { record, messenger, realNow } = deps;
  const looked = lookedAt.get(messenger) ?? new Map<string, number>();
  lookedAt.set(messenger, looked);
  const last = looked.get(wardId) ?? Number.POSITIVE_INFINITY;
  if (realNow() >= last + lookAgainMs || realNow() < last) {
    looked.set(wardId, realNow());
    await lookAtChannel(deps, wardId);
    const { channelShut } = await record.readWardState(wardId);
    if (channelShut === null) {
      await record.postLeft(wardId, row.post.key);
      return 'open';
    }
  }
  if (await goInstead(deps, wardId, row, view)) return 'gone';
  await record.postLeft(wardId, row.post.key);
  return 'waits';
}

/**
 * Whether the ward's workspace still has the bot, or has it again. Where it hasn't, nothing is reminded of and nothing is sent: what
 * waits stays as it is, and the ward's log says since when.
 */
export async function isServed(deps: JobDeps, wardId: string): Promise<boolean> {
  const { messenger, record } = deps;
  if (!messenger.serves) return true;
  const isInstalled = await messenger.serves(wardId);
  const { channelShut } = await record.readWardState(wardId);
  if (isInstalled === (channelShut?.why === 'uninstalled')) await lookAtChannel(deps, wardId);
  return isInstalled;
}

/** Asks the platform about the ward's channel, since something may have changed, and records it. */
export async function lookAtChannel(deps: JobDeps, wardId: string): Promise<void> {
  const { ward, lines } = await deps.record.readWard(wardId);
  // A channel in which nothing was ever recorded is no ward.
  if (ward.version === 0 && lines.length === 0) return;
  const seen = await deps.messenger.lookAtChannel(wardId, ward.channelShut?.why ?? null);
  if (seen === 'unknown') return;
  if (seen === 'open') {
    if (ward.channelShut) await recordNews(deps, wardId, { kind: 'channelOpened', body: {} });
  } else if (ward.channelShut?.why !== seen)
    await recordNews(deps, wardId, { kind: 'channelShut', body: { why: seen } });
}
