import { readHandover } from '../../app/handover-record.ts';
import { composeMessage } from '../../chat/messages/compose.ts';
import type { Message } from '../../chat/parts.ts';
import { wardIdOf } from '../../chat/ward-id.ts';
import type { TerminalLook } from '../../terminal/terminal-text.ts';
import type { Names } from '../../wording/names.ts';
import { person } from '../../wording/rich-text.ts';
import type { DemoWard } from './demo-ward.ts';

/** The ward of the night. */
export function wardOf({ platform: { world } }: DemoWard): string {
  return wardIdOf(world.team.id, world.wardChannelId);
}

/** Its people by name. */
export function namesOf({ platform: { world } }: DemoWard): Names {
  return { of: async (user) => world.users.find(({ id }) => id === user)?.name ?? person(user) };
}

/** How the terminal shows its people and its channel. */
export function lookOf({ platform: { world } }: DemoWard): TerminalLook {
  return {
    person: (user) => world.users.find(({ id }) => id === user)?.name,
    place: () => 'the ward’s channel',
  };
}

/** A message of the bot as it is composed now, before any platform draws it; null where its key is of none that waits or stands. */
export async function composedAgain(ward: DemoWard, key: string): Promise<Message | null> {
  const { record } = ward.service;
  const wardId = wardOf(ward);
  const row = await record.readPost(wardId, key);
  if (!row) return null;
  const { post } = row;
  const [state, lines] = await Promise.all([
    record.readWardState(wardId),
    record.readLines(wardId, post.lines),
  ]);
  const handedOver = post.kind === 'handover' ? await readHandover(record, wardId, post) : undefined;
  const view = { ward: state, lines, ...(handedOver ? { handedOver } : {}) };
  return composeMessage(post, view, namesOf(ward), ward.clock.now());
}
