import type { Post, WardView } from '../../app/ports.ts';
import { isOvertaken } from '../../domain/handover/overtaken.ts';
import type { ShiftHandover } from '../../domain/handover/shift-handover.ts';
import { briefCaution, lineWords } from '../../wording/care/line-words.ts';
import { handoverHead, handoverTitle, readBackWords } from '../../wording/handover/handover-head.ts';
import { handoverParts } from '../../wording/handover/handover-parts.ts';
import type { Names } from '../../wording/names.ts';
import { rich, withoutEmphasis } from '../../wording/rich-text.ts';
import { actionValue } from '../action-value.ts';
import { type ButtonOf, buttonRow, type Message, paragraph, smallPrint } from '../parts.ts';

/**
 * The first message of a handover: the shift and who is on call in it, *Watch*, the stable lines and the next visits, and the
 * acceptance. What it says of the lines is of the instant it was made; who is on call, who was given what and who accepted
 * follow the record.
 */
export async function handoverFirst(
  post: Post,
  view: WardView,
  handover: ShiftHandover,
  names: Names,
): Promise<Message> {
  const { ward } = view;
  const forMs = handover.handover.for;
  const handedOver = ward.handovers.find((one) => one.for === forMs);
  const isOver = isOvertaken(ward, forMs, post.at);
  const accepted = handedOver?.accepted ?? null;
  const head = await handoverHead(handover, view, names, accepted ?? (isOver ? 'never' : null));
  const { channel, visits } = await handoverParts(handover, names);
  const isWaiting = !accepted && !isOver;
  const overtaken = isOver ? 'Not accepted; a newer handover took its place.' : '';
  const status = accepted ? readBackWords(handover, accepted) : overtaken;
  const again = inAgain(handover, view);
  const lists = (channel[0] ?? []).slice(0, -1);
  const last = (channel[0] ?? []).slice(-1);
  return {
    lead: head,
    parts: [
      paragraph(head),
      ...lists.map(paragraph),
      // A gap less: the post has a phone’s screen and a half.
      paragraph([...last, again, status].filter((words) => words !== '').join('\n')),
      ...(isOver
        ? []
        : [buttonRow('handover', isWaiting ? acceptButtons(handover) : [shareButton(ward.id)])]),
      smallPrint(briefCaution),
    ],
    settled: accepted !== null || isOver,
    superseded: isOver,
    pages: { channel: channel.length, visits: visits.length },
  };
}

/** One tap accepts and reads everything back that is to be watched; a second button asks for a tick each. */
function acceptButtons({ ward, watch, handover }: ShiftHandover): ButtonOf[] {
  const value = actionValue({ w: ward.id, f: handover.for });
  if (watch.length === 0) return [{ action: 'accept', text: 'Accept the handover', value, primary: true }];
  return [
    { action: 'accept', text: 'Accept: I’ve read Watch', value, primary: true },
    { action: 'open:readback', text: 'Read Watch back…', value },
  ];
}

function shareButton(wardId: string): ButtonOf {
  return { action: 'open:assign', text: 'Share out the lines…', value: actionValue({ w: wardId }) };
}

/** Lines recorded as out by the handover whose removal was struck since: they are in, and in no part of it. */
function inAgain({ gone }: ShiftHandover, { lines }: WardView): string {
  const back = lines.filter(({ id, removed }) => removed === null && gone.some((one) => one.id === id));
  if (back.length === 0) return '';
  return rich`*Back in, and missing from this handover:* ${back.map(lineWords).join('; ')}. The removal was recorded in error.`;
}

/** What did not fit the first message: the same list, going on. */
export async function handoverMore(post: Post, handover: ShiftHandover, names: Names): Promise<Message> {
  const { page = 2 } = post.about ?? {};
  const { channel } = await handoverParts(handover, names);
  const title = `${handoverTitle(handover)}, ${page} of ${channel.length}`;
  return {
    lead: title,
    parts: [paragraph(rich`*${title}*`), ...(channel[page - 1] ?? []).map(paragraph)],
    settled: true,
  };
}

/** The visits that the channel's messages had no room for, in the thread, and what the shift's visits need. */
export async function handoverVisits(post: Post, handover: ShiftHandover, names: Names): Promise<Message> {
  const { page = 1 } = post.about ?? {};
  const { visits } = await handoverParts(handover, names);
  const [first = '', ...others] = visits[page - 1] ?? [];
  const [title = '', ...rows] = first.split('\n');
  return {
    lead: withoutEmphasis(title),
    parts: [title, rows.join('\n'), ...others].filter((words) => words !== '').map(paragraph),
    settled: true,
  };
}

/** In place of a file that could not be added. */
export function fileLostMessage({ about }: Post): Message {
  const text =
    about?.text === 'picture'
      ? 'The picture of the shift couldn’t be added here. Everything it shows is in words above.'
      : 'The page to print couldn’t be added here. Type /artline handover paper and I’ll send it to you.';
  return { lead: text, parts: [paragraph(text)], settled: true };
}
