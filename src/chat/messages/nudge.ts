import { fitsWithButtons } from '../../app/asking-posts.ts';
import { belongsAsOf } from '../../app/instead-of-channel.ts';
import type { Post, WardView } from '../../app/ports.ts';
import { faultWaiting } from '../../domain/duties/fault-half-way.ts';
import { patientKey } from '../../domain/patient/patient-key.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { isCalledAlready } from '../../domain/rounds/visit-gap.ts';
import { awaitsTakeover, nurseFor } from '../../domain/ward/on-call.ts';
import { awayPlaceWords } from '../../wording/care/away-words.ts';
import { capital } from '../../wording/care/duty-words.ts';
import { eachAnimal } from '../../wording/care/each-animal.ts';
import { clockText, placeWords } from '../../wording/care/line-words.ts';
import { bringWords } from '../../wording/care/round-words.ts';
import { forWhomWords } from '../../wording/care/who-words.ts';
import type { Names } from '../../wording/names.ts';
import { person, place, rich, withoutEmphasis } from '../../wording/rich-text.ts';
import { actionValue } from '../action-value.ts';
import { buttonRow, type Message, type Part, paragraph, paragraphs, smallPrint } from '../parts.ts';
import { channelOf } from '../ward-id.ts';
import { allDoneParts } from './all-done.ts';
import { areSettled, askedAgainAt, type Item, isOpen, itemsOf, itemText, openWords } from './asked-items.ts';
import { dutyButtons, recordsWords } from './duty-buttons.ts';
import { backButtons } from './move-buttons.ts';

/** A round that is due, for the ward channel: who, what, since when, what to bring, and the buttons to say it was done. */
export async function nudgeMessage(post: Post, view: WardView, names: Names, now: number): Promise<Message> {
  const items = itemsOf(post, view, now);
  const open = items.filter((item) => isOpenHere(item, post));
  const isInRows = !fitsWithButtons(post.asked);
  const parts: Part[] = [];
  const rows: string[] = [];
  const said: Said = new Map();
  for (const [line, mine, isNamed] of byAnimal(items)) {
    const stillOpen = mine.filter((item) => isOpenHere(item, post));
    const who = await withWhom(line, stillOpen, post, view, names, now);
    if (stillOpen.length > 0) said.set(who, [...(said.get(who) ?? []), [line, openWords(stillOpen)]]);
    if (isInRows) {
      rows.push(await rowOf(line, mine, post, view, names, now));
      continue;
    }
    const which = isNamed
      ? rich`*Also ${placeWords(line)}*`
      : rich`*${line.patient.name}* · ${placeWords(line)}`;
    const title = `${which}${stillOpen.length > 0 ? ` · with ${who}` : ''}`;
    parts.push(...(await partsOf(line, mine, title, post, view, names, now)));
  }
  parts.push(...paragraphs(rows));
  if (open.length > 0) return roundDue(post, view, open, said, { parts, isInRows }, now);
  const at = clockText(view.ward.policy, post.at, now);
  const isGoneOn = items.some(isOpen);
  return {
    lead: `Round of ${at}, ${isGoneOn ? 'the rest is in a newer round' : 'nothing left to do'}.`,
    parts,
    settled: areSettled(items, post, view, now),
    superseded: true,
  };
}

/** By whom a round is with, their lines and what is open of each. */
type Said = Map<string, [LineState, string][]>;

const isOpenHere = (item: Item, post: Post) => isOpen(item) && askedAgainAt(item, post) === null;

/** One line of a round with its buttons. */
async function partsOf(
  line: LineState,
  mine: readonly Item[],
  title: string,
  post: Post,
  view: WardView,
  names: Names,
  now: number,
): Promise<Part[]> {
  const stillOpen = mine.filter((item) => isOpenHere(item, post));
  const here = mine.filter((item) => !isOpen(item) || isOpenHere(item, post));
  const texts = await Promise.all(here.map((item) => itemText(item, view, names, now)));
  const later = laterRounds(mine, post, view, now).map((words) => `• ${capital(words)}.`);
  const lines = [title, [...texts, ...later, ...recordsWords(line, stillOpen, view)].join('\n')];
  const asked = dutyButtons(view.ward.id, line, stillOpen, view);
  const buttons = asked.length > 0 ? [...asked, ...backButtons(view.ward.id, line)] : asked;
  return [
    paragraph(lines.join('\n')),
    ...(buttons.length > 0 ? [buttonRow(`duties:${line.id}`, buttons)] : []),
  ];
}

/** A round of which something is open. */
function roundDue(
  post: Post,
  view: WardView,
  open: readonly Item[],
  said: Said,
  { parts, isInRows }: { parts: readonly Part[]; isInRows: boolean },
  now: number,
): Message {
  const { ward } = view;
  const isDirect = post.to !== 'ward' && ward.channelShut !== null;
  const directWords = `Sent to you, since I can’t post in ${place(channelOf(ward.id))}.`;
  const bring = bringWords(open.map(({ asked }) => asked));
  const begins = belongsAsOf(post, ward);
  // What was due before the shift begins is due now, whoever does it.
  const isAhead = begins > post.at && open.every(({ asked }) => asked.dueAt > post.at);
  const due = isAhead ? `Due ${clockText(ward.policy, begins, now)}` : 'Due now';
  const lead = [...said].map(
    ([who, each]) => `${due}, with ${who}: ${isInRows ? firstNames(each) : eachAnimal(each).join('; ')}.`,
  );
  const whom = isInRows ? ` · with ${[...said.keys()].join(', ')}` : '';
  return {
    lead: [...lead, ...(isDirect ? [directWords] : [])].join(' '),
    parts: [
      paragraph(rich`*Round of ${clockText(ward.policy, post.at, now)}*${whom}${bring}`),
      ...(isDirect ? [smallPrint(directWords)] : []),
      ...parts,
      ...allDone(ward.id, open, view),
      ...(isInRows ? [eachByItself(ward.id)] : []),
    ],
    settled: false,
  };
}

/**
 * Whom the round of a line is with. They are notified once, when it is asked for; a settled message names and does not call, and
 * whoever has just gone off is not called for what is the next shift's.
 */
async function withWhom(
  line: LineState,
  open: readonly Item[],
  post: Post,
  { ward, lines }: WardView,
  names: Names,
  now: number,
): Promise<string> {
  const asOf = Math.max(now, belongsAsOf(post, ward));
  const nurse = nurseFor(ward, line, asOf);
  const whose = { id: line.id, nurse: nurse.user };
  const isVisit = post.about?.what === 'visit';
  const isCalled = open.length > 0 && (isVisit || !isCalledAlready(ward, lines, whose, post.at, now));
  const who =
    open.length > 0 && awaitsTakeover(ward, line, asOf)
      ? 'whoever takes over'
      : isCalled
        ? person(nurse.user)
        : await names.of(nurse.user);
  return who + (await forWhomWords(nurse, names)) + awayPlaceWords(line) + beganWords(line, open, nurse.user);
}

/** One line of a long round: what waits, with the earliest time it was due, then how the rest stands. */
async function rowOf(
  line: LineState,
  mine: readonly Item[],
  post: Post,
  view: WardView,
  names: Names,
  now: number,
): Promise<string> {
  const isLater = (item: Item) => isOpen(item) && askedAgainAt(item, post) !== null;
  const plain = (item: Item) => isOpen(item) && !isLater(item) && Object.keys(item.status).length === 2;
  const waiting = mine.filter(plain);
  const due = Math.min(...waiting.map(({ asked }) => asked.dueAt));
  const waits =
    waiting.length === 0 ? [] : [`${openWords(waiting)}, due ${clockText(view.ward.policy, due, now)}`];
  const others = mine.filter((item) => !plain(item) && !isLater(item));
  const rest = await Promise.all(others.map((item) => itemText(item, view, names, now)));
  const texts = rest.map((text) => withoutEmphasis(text).replace(/^• /, '').replace(/\.$/, ''));
  return rich`• *${line.patient.name}* · ${placeWords(line)}: ${[...waits, ...laterRounds(mine, post, view, now), ...texts].join('; ')}`;
}

/** `zero and level: in the round of 16:21`: what a later round asks for now, by that round. */
function laterRounds(mine: readonly Item[], post: Post, { ward }: WardView, now: number): string[] {
  const gone = mine.filter(isOpen).flatMap((item) => {
    const at = askedAgainAt(item, post);
    return at === null ? [] : [{ ...item, at }];
  });
  return [...Map.groupBy(gone, ({ at }) => at)].map(
    ([at, items]) => `${openWords(items)}: in the round of ${clockText(ward.policy, at, now)}`,
  );
}

/** `12 lines: Biscuit, Juno, Otto and 9 more`: the rows below say what. */
function firstNames(each: readonly [LineState, string][]): string {
  const names = each.slice(0, 3).map(([{ patient }]) => patient.name);
  const more = each.length > names.length ? ` and ${each.length - names.length} more` : '';
  return `${each.length} lines: ${names.join(', ')}${more}`;
}

/** To tick what was done, and not the rest: one's own lines, each with its buttons. */
function eachByItself(wardId: string): Part {
  const value = actionValue({ w: wardId });
  return buttonRow('mine', [{ action: 'open:mine', text: 'Not all done? Line by line…', value }]);
}

/** Whoever began on a fault that was left half way is asked as well, where the line is with another. */
function beganWords(line: LineState, open: readonly Item[], nurse: string): string {
  const by = open.some(({ asked }) => asked.kind === 'faultOpen') ? faultWaiting(line)?.by : undefined;
  return by === undefined || by === nurse ? '' : ` and ${person(by)}, who began on the fault`;
}

/** One tap for the whole round of several lines: flushed, where nothing else waits; else what it names that it records. */
function allDone(wardId: string, open: readonly Item[], view: WardView): readonly Part[] {
  return open.every(({ asked }) => asked.kind === 'flush')
    ? allFlushed(wardId, open)
    : allDoneParts(wardId, open, view);
}

function allFlushed(wardId: string, open: readonly Item[]): readonly Part[] {
  const lines = byLine(open);
  if (lines.size < 2) return [];
  const a = open.map(({ asked }) => [asked.lineId, asked.dueAt] as [string, number]);
  const names = [...lines.keys()].map(({ patient }) => patient.name).join(', ');
  return [
    buttonRow('round', [
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
