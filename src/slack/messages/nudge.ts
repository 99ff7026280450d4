import type { Post, WardView } from '../../app/ports.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { nurseOf } from '../../domain/ward/on-call.ts';
import type { Names } from '../names.ts';
import { escaped, mention } from '../text.ts';
import { clockText, placeWords } from '../wording/line-words.ts';
import { dutyButtons, type Item, isOpen, itemsOf, itemText, openWords } from './asked-items.ts';
import { actions, type MessageBody, section } from './blocks.ts';

/** A round that is due, for the ward channel: who, what, since when, and the buttons to say it was done. */
export async function nudgeMessage(
  post: Post,
  view: WardView,
  names: Names,
  now: number,
): Promise<MessageBody> {
  const { ward } = view;
  const items = itemsOf(post, view, now);
  const open = items.filter(isOpen);
  const at = clockText(ward.policy, post.at, now);
  const blocks: MessageBody['blocks'] = [];
  const said: string[] = [];
  for (const [line, mine] of byLine(items)) {
    const stillOpen = mine.filter(isOpen);
    const nurse = nurseOf(ward, line);
    // Whoever the round is with is notified once, when it is asked for; a settled message names and does not call.
    const who = stillOpen.length > 0 ? mention(nurse) : await names.of(nurse);
    const name = escaped(line.patient.name);
    const texts = await Promise.all(mine.map((item) => itemText(item, view, names, now)));
    blocks.push(section(`*${name}* · ${placeWords(line)} · with ${who}\n${texts.join('\n')}`));
    const buttons = dutyButtons(ward.id, line, stillOpen, view);
    if (buttons.length > 0) blocks.push(actions(`duties:${line.id}`, buttons));
    if (stillOpen.length > 0) said.push(`${name}: ${openWords(stillOpen)}, with ${who}`);
  }
  if (open.length > 0) {
    return {
      text: `Due now. ${said.join('. ')}.`,
      blocks: [section(`*Round of ${at}*`), ...blocks],
      settled: false,
    };
  }
  const summary = await Promise.all(
    [...byLine(items)].map(async ([line, mine]) => {
      const texts = await Promise.all(mine.map((item) => itemText(item, view, names, now)));
      return `${escaped(line.patient.name)}: ${texts.map((text) => text.slice(2)).join(' ')}`;
    }),
  );
  return {
    text: `Round of ${at}, nothing left to do. ${summary.join(' ')}`,
    blocks: [section(`Round of ${at}, nothing left to do`), ...blocks],
    settled: true,
  };
}

export function byLine<I extends Item>(items: readonly I[]): Map<LineState, I[]> {
  return Map.groupBy(items, ({ line }) => line);
}
