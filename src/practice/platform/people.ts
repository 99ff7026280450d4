import type { PlatformCore } from './core.ts';
import { escapeTyped } from './escape.ts';
import type { Conversation, StoredMessage } from './message.ts';
import type { WorldUser } from './world.ts';

/** Resolves a user id or handle. @throws when nobody has it. */
export function person(core: PlatformCore, idOrHandle: string): WorldUser {
  const found = core.world.users.find((user) => user.id === idOrHandle || user.handle === idOrHandle);
  if (!found)
    throw new Error(
      `Nobody here is '${idOrHandle}'; there are ${core.world.users.map((user) => user.handle).join(', ')}.`,
    );
  return found;
}

/** The conversation, which the person must be in. @throws otherwise. */
export function placeOf(
  core: PlatformCore,
  user: WorldUser,
  channel: string | undefined,
  lookingIn = false,
): Conversation {
  const conversation = core.workspace.conversation(channel ?? core.world.wardChannelId);
  if (!conversation) throw new Error(`There is no conversation '${channel}'.`);
  if (!lookingIn && !conversation.memberIds.includes(user.id))
    throw new Error(`${user.handle} is not in ${conversation.name}, so cannot act there.`);
  return conversation;
}

/** What a person typed, as a message that is yet to be posted. */
export const typedMessage = (
  core: PlatformCore,
  userId: string,
  text: string,
  more: Partial<StoredMessage> = {},
): StoredMessage => ({
  type: 'message',
  ts: core.workspace.nextTs(core.clock.now()),
  user: userId,
  team: core.world.team.id,
  text: escapeTyped(text),
  ...more,
});
