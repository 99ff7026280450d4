import type { Bot, Caller } from './bot.ts';
import { mayRecord, NoSuchChannel } from './membership.ts';
import { channelOf, teamOf } from './ward-id.ts';

/** Why a press from another workspace is not taken; null when it is from ours. */
export function otherTeam(bot: Bot, caller: Caller, team: string | undefined): string | null {
  return team === bot.team && teamOf(caller.wardId) === bot.team
    ? null
    : 'This belongs to another workspace. Nothing was done.';
}

const notIn =
  'You are not in this ward’s channel, so nothing was recorded. Join the channel, or ask somebody on the ward.';
const notKnown =
  'I can’t check right now whether you are in this ward’s channel, so nothing was recorded. Type it in the ward’s channel itself, or try again in a minute.';

/** Why this person has no part in the ward; null when they have. */
export async function noPart(bot: Bot, caller: Caller): Promise<string | null> {
  const ward = await bot.deps.record.readWardState(caller.wardId);
  // The platform lets nobody else type there; a press may be of somebody who only looks in, so the list is asked first.
  if (caller.inChannel !== undefined && caller.inChannel === channelOf(caller.wardId))
    bot.membership.seenIn(caller.wardId, caller.user);
  try {
    return (await mayRecord(bot.membership, ward, caller.user, bot.deps.clock.now())) ? null : notIn;
  } catch (cause) {
    if (cause instanceof NoSuchChannel) return notIn;
    bot.deps.watch.trouble('who is in a channel could not be asked', { wardId: caller.wardId }, cause);
    return notKnown;
  }
}

/** Why this press or form is not taken: another workspace, or a person who has no part in this ward; null when it is. */
export async function notAllowed(bot: Bot, caller: Caller, team: string | undefined): Promise<string | null> {
  return otherTeam(bot, caller, team) ?? (await noPart(bot, caller));
}
