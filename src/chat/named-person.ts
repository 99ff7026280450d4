import type { EntryDraft } from '../domain/record/entry.ts';
import type { Bot } from './bot.ts';
import { isOnWard } from './membership.ts';

/**
 * Why somebody can't be named for anything on a ward, with what to do instead, plain text; null where they can. Where the
 * platform doesn't tell they can: a message that reaches nobody is found out when it is sent.
 */
export async function namedFault(
  { people, membership, names, team, userId }: Bot,
  wardId: string,
  user: string,
): Promise<string | null> {
  if (user === userId) return null;
  const standing = await people.standing(user, team);
  if (standing === null || standing === 'well') return null;
  const name = await names.of(user);
  switch (standing) {
    case 'deactivated':
      return `${name}’s account is deactivated: nobody reads what is sent there. Choose somebody else.`;
    case 'bot':
      return `${name} is a bot. Choose a person.`;
    case 'unknown':
      return 'There is no such account in this workspace. Pick somebody from the list.';
    case 'guest':
    case 'elsewhere': {
      if (await isOnWard(membership, wardId, user)) return null;
      const who = standing === 'guest' ? 'a guest' : 'from another workspace';
      return `${name} is ${who} and not in this channel, so can’t be relied on to be reached. Invite them first, or choose somebody else.`;
    }
  }
}

/** Said of somebody who was named and may not be reached, in words to be added; empty where there is no doubt. */
export async function namedDoubt({ people, names, team }: Bot, user: string): Promise<string> {
  if ((await people.standing(user, team)) !== 'elsewhere') return '';
  return ` ${await names.of(user)} is from another workspace: ask whether my direct message arrived. If it doesn’t, I tell the next person and the channel.`;
}

/** The same of whoever a draft entry names to have the patient; null where it names nobody. */
export async function escortFault(
  bot: Bot,
  wardId: string,
  drafts: readonly EntryDraft[],
): Promise<string | null> {
  for (const { body } of drafts) {
    if (!('with' in body) || body.with === undefined) continue;
    if (body.with === bot.userId) return 'I can’t have a patient. Choose a person.';
    const fault = await namedFault(bot, wardId, body.with);
    if (fault !== null) return fault;
  }
  return null;
}
