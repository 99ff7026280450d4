import type { Bot, Caller } from '../bot.ts';
import { mayTell } from '../membership.ts';
import { teamOf } from '../ward-id.ts';

/** Why a press from another workspace is not taken; null when it is from ours. */
export function otherTeam(bot: Bot, caller: Caller, team: string | undefined): string | null {
  return team === bot.team && teamOf(caller.wardId) === bot.team
    ? null
    : 'This belongs to another workspace. Nothing was done.';
}

/** Why this press or form is not taken: another workspace, or a person who has no part in this ward; null when it is. */
export async function notAllowed(bot: Bot, caller: Caller, team: string | undefined): Promise<string | null> {
  const other = otherTeam(bot, caller, team);
  if (other !== null) return other;
  const ward = await bot.deps.record.readWardState(caller.wardId);
  if (await mayTell(bot.membership, ward, caller.user, bot.deps.clock.now())) return null;
  return 'You are not in this ward’s channel, so nothing was recorded. Join the channel, or ask somebody on the ward.';
}
