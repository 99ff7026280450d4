import type { Post, WardView } from '../../app/ports.ts';
import { faultWaiting } from '../../domain/duties/fault-half-way.ts';
import { patientKey } from '../../domain/patient/patient-key.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { nurseFor } from '../../domain/ward/on-call.ts';
import { actionValue } from '../action-value.ts';
import type { Names } from '../names.ts';
import { escaped, mention } from '../text.ts';
import { awayPlaceWords } from '../wording/away-words.ts';
import { eachAnimal } from '../wording/each-animal.ts';
import { clockText, placeWords } from '../wording/line-words.ts';
import { forWhomWords } from '../wording/who-words.ts';
import {
  areSettled,
  dutyButtons,
  type Item,
  isOpen,
  itemsOf,
  itemText,
  openWords,
  recordsWords,
} from './asked-items.ts';
import { actions, type MessageBody, section } from './blocks.ts';
import { backButtons } from './move-buttons.ts';

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
  const said = new Map<string, [LineState, string][]>();
  for (const [line, mine, isNamed] of byAnimal(items)) {
    const stillOpen = mine.filter(isOpen);
    const nurse = nurseFor(ward, line, now);
    // Whoever the round is with is notified once, when it is asked for; a settled message names and does not call.
    const who =
      (stillOpen.length > 0 ? mention(nurse.user) : await names.of(nurse.user)) +
      (await forWhomWords(nurse, names)) +
      awayPlaceWords(line) +
      beganWords(line, stillOpen, nurse.user);
    const name = escaped(line.patient.name);
    const which = isNamed ? `*Also ${placeWords(line)}*` : `*${name}* · ${placeWords(line)}`;
    const texts = await Promise.all(mine.map((item) => itemText(item, view, names, now)));
    const lines = [...texts, ...recordsWords(line, stillOpen, view)].join('\n');
    blocks.push(section(`${which} · with ${who}\n${lines}`));
    const asked = dutyButtons(ward.id, line, stillOpen, view);
    const buttons = asked.length > 0 ? [...asked, ...backButtons(ward.id, line)] : asked;
    if (buttons.length > 0) blocks.push(actions(`duties:${line.id}`, buttons));
    if (stillOpen.length > 0) said.set(who, [...(said.get(who) ?? []), [line, openWords(stillOpen)]]);
  }
  if (open.length > 0) {
    return {
      text: [...said].map(([who, each]) => `Due now, with ${who}: ${eachAnimal(each).join('; ')}.`).join(' '),
      blocks: [section(`*Round of ${at}*`), ...blocks, ...allFlushed(ward.id, open)],
      settled: false,
    };
  }
  return {
    text: `Round of ${at}, nothing left to do.`,
    blocks,
    settled: areSettled(items, post, view, now),
  };
}

/** Whoever began on a fault that was left half way is asked as well, where the line is with another. */
function beganWords(line: LineState, open: readonly Item[], nurse: string): string {
  const by = open.some(({ asked }) => asked.kind === 'faultOpen') ? faultWaiting(line)?.by : undefined;
  return by === undefined || by === nurse ? '' : ` and ${mention(by)}, who began on the fault`;
}

/**
 * One tap for the commonest round, several lines that wait for nothing but their flush. Where anything else waits there
 * is no such tap: a finding is looked at patient by patient.
 */
function allFlushed(wardId: string, open: readonly Item[]): MessageBody['blocks'] {
  const lines = byLine(open);
  if (lines.size < 2 || open.some(({ asked }) => asked.kind !== 'flush')) return [];
  const a = open.map(({ asked }) => [asked.lineId, asked.dueAt] as [string, number]);
  const names = [...lines.keys()].map(({ patient }) => patient.name).join(', ');
  return [
    actions('round', [
      {
        action: 'done:round',
        text: `All ${lines.size} flushed`,
        value: actionValue({ w: wardId, a }),
        label: `All flushed: ${names}`,
      },
    ]),
  ];
}

/** The lines as `byLine` has them, those of one animal together; whether the animal was named already stands with each. */
function byAnimal<I extends Item>(items: readonly I[]): [LineState, I[], boolean][] {
  const animals = Map.groupBy(byLine(items), ([{ patient }]) => patientKey(patient));
  return [...animals.values()].flatMap((lines) =>
    lines.map(([line, mine], index): [LineState, I[], boolean] => [line, mine, index > 0]),
  );
}

export function byLine<I extends Item>(items: readonly I[]): Map<LineState, I[]> {
  return Map.groupBy(items, ({ line }) => line);
}
