import type { Button } from '@slack/web-api';
import type { Post } from '../../../src/app/ports.ts';
import { composeMessage } from '../../../src/chat/messages/compose.ts';
import type { Message } from '../../../src/chat/parts.ts';
import type { LineState } from '../../../src/domain/record/line-state.ts';
import type { WardState } from '../../../src/domain/ward/ward-state.ts';
import type { Drawn } from '../../../src/slack/render/message.ts';
import { drawn } from '../../support/drawn-message.ts';
import { wall } from '../../support/line-builder.ts';

const people: Record<string, string> = { nina: 'Nina Vale', vet: 'Dr Ada Holm', bot: 'the bot' };
export const names = { of: async (user: string) => people[user] ?? `@${user}` };

/** What is asked of a line by name of the duty and when it is due, as the ward's clock shows it. */
export function asked(line: LineState, duties: Record<string, string>): Post['asked'] {
  return Object.entries(duties).map(([kind, clock]) => ({
    lineId: line.id,
    kind: kind as Post['asked'][number]['kind'],
    dueAt: wall(clock),
  }));
}

/** A post made at `at`, as the ward's clock shows it. */
export function post(kind: Post['kind'], at: string, more: Partial<Post>): Post {
  return { key: 'k', kind, to: 'ward', lines: [], asked: [], at: wall(at), ...more };
}

/** The message as it would be sent at `now`, by default when it was made. */
export async function composed(
  made: Post,
  ward: WardState,
  lines: LineState[],
  now: string | number = made.at,
): Promise<Message & Drawn> {
  return drawn(await composeMessage(made, { ward, lines }, names, typeof now === 'number' ? now : wall(now)));
}

/** The buttons of a message, in the order in which they stand. */
export function buttonsIn(blocks: Drawn['blocks']): Button[] {
  return blocks.flatMap((block) => (block.type === 'actions' ? (block.elements as Button[]) : []));
}
