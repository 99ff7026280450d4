import { handoverPosts, restOfHandover } from '../../src/app/handover-posts.ts';
import type { Post, WardView } from '../../src/app/ports.ts';
import { composeMessage } from '../../src/chat/messages/compose.ts';
import type { Message } from '../../src/chat/parts.ts';
import { placingOf, withAnimals } from '../../src/domain/animal/animal.ts';
import { type ShiftHandover, shiftHandover } from '../../src/domain/handover/shift-handover.ts';
import type { LineState } from '../../src/domain/record/line-state.ts';
import type { WardState } from '../../src/domain/ward/ward-state.ts';
import type { Drawn } from '../../src/slack/render/message.ts';
import type { Names } from '../../src/wording/names.ts';
import { drawn } from './drawn-message.ts';
import { type LineLog, wall } from './line-builder.ts';

/** The handover at `now` of lines told as these logs tell them; for the shift that starts at `forMs`. */
export function handoverOf(
  logs: readonly LineLog[],
  ward: WardState,
  now: number,
  forMs: number = wall('19:00'),
): ShiftHandover {
  const states = logs.map((log) => log.state());
  const lines = withAnimals(states, states.map(placingOf));
  return shiftHandover(
    ward,
    lines.map((line, index) => ({ line, log: logs[index]?.entries ?? [] })),
    { atMs: now, handover: { for: forMs, auto: true }, policyAt: () => ward.policy, wardLog: [] },
  );
}

/**
 * Every message of that handover in the order it comes: the first, what goes on in the channel, then the thread. `live`: the
 * lines as they are by the time it is read.
 */
export async function handoverMessages(
  logs: readonly LineLog[],
  ward: WardState,
  now: number,
  { names, forMs = wall('19:00'), live }: { names: Names; forMs?: number; live?: LineState[] },
): Promise<{ post: Post; message: Message & Drawn }[]> {
  const posted = { for: forMs, auto: true, postedAt: now, accepted: null, nudgedAt: null };
  const handovers = ward.handovers.length > 0 ? ward.handovers : [posted];
  const handedOver = handoverOf(logs, ward, now, forMs);
  const lines = logs.map((log) => log.state());
  const [first] = handoverPosts({ ward, lines }, forMs, now);
  const view: WardView = { ward: { ...ward, handovers }, lines: live ?? lines, handedOver };
  if (!first) return [];
  const message = drawn(await composeMessage(first, view, names, now));
  const rest = message.pages ? restOfHandover(first, handedOver, message.pages, '1.0') : [];
  return [
    { post: first, message },
    ...(await Promise.all(
      rest.map(async (post) => ({ post, message: drawn(await composeMessage(post, view, names, now)) })),
    )),
  ];
}

/** What the messages of a handover say, by what they are. */
export async function handoverTexts(
  ...given: Parameters<typeof handoverMessages>
): Promise<{ first: string; more: string; patients: string; visits: string; all: string }> {
  const made = await handoverMessages(...given);
  const of = (what: string) =>
    made.flatMap(({ post, message }) => (post.about?.what === what ? [message.text] : [])).join('\n');
  return {
    first: of('accept'),
    more: of('more'),
    patients: of('patients'),
    visits: of('rounds'),
    all: made.map(({ message }) => message.text).join('\n'),
  };
}
