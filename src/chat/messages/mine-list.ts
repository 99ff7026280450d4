import type { WardView } from '../../app/ports.ts';
import { dutyStatus } from '../../domain/duties/duty-status.ts';
import { isClinicians } from '../../domain/duty-kind.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import type { OwnLine } from '../../domain/ward/mine.ts';
import { awayPlaceWords, dueWords } from '../../wording/care/away-words.ts';
import { capital, dutyName } from '../../wording/care/duty-words.ts';
import { placeWords } from '../../wording/care/line-words.ts';
import type { Names } from '../../wording/names.ts';
import { rich } from '../../wording/rich-text.ts';
import { actionValue } from '../action-value.ts';
import { type ButtonOf, buttonRow, type Part, paragraph, paragraphBeside, paragraphs } from '../parts.ts';
import { allDoneParts } from './all-done.ts';
import { type Item, isOpen, itemText } from './asked-items.ts';
import { dutyButtons, recordsWords } from './duty-buttons.ts';
import { backButtons } from './move-buttons.ts';

/** Lines shown with their own buttons, and lines named with what comes next: two parts each, and a few in one. */
const mostWithButtons = 30;
const mostNext = 40;
const mostForClinician = 8;

/**
 * What one person is asked for now, with its buttons, one tap for all of it, and when each line is needed next. It says due
 * times and not how late, so that it stays as it is while nothing changes.
 */
export async function mineParts(
  own: readonly OwnLine[],
  view: WardView,
  names: Names,
  now: number,
  room = mostWithButtons,
): Promise<Part[]> {
  const { ward } = view;
  const due = own.filter((one) => one.now.length > 0);
  const parts: Part[] = [];
  const open: Item[] = [];
  for (const { line, now: duties } of due.slice(0, room)) {
    const items = itemsNow(line, duties, view, now).filter(isOpen);
    if (items.length === 0) continue;
    open.push(...items);
    const texts = await Promise.all(items.map((item) => itemText(item, view, names, now)));
    const said = [titleOf(line), ...texts, ...recordsWords(line, items, view)].join('\n');
    parts.push(
      paragraphBeside(`mine:${line.id}`, said, openButton(ward.id, line)),
      buttonRow(`duties:${line.id}`, [
        ...dutyButtons(ward.id, line, items, view),
        ...backButtons(ward.id, line),
      ]),
    );
  }
  const unshown = due.length - room;
  const more =
    unshown > 0
      ? [
          paragraph(
            `${unshown} more ${unshown === 1 ? 'line has' : 'lines have'} something due: do these first.`,
          ),
        ]
      : [];
  return [...allDoneParts(ward.id, open, view), ...parts, ...more, ...nextParts(own, view, now)];
}

/** What of the ward is for the clinician on call to see to, each line with the way to its page; nothing where nothing is. */
export async function onCallParts(
  theirs: readonly OwnLine[],
  view: WardView,
  names: Names,
  now: number,
  room: number,
): Promise<Part[]> {
  if (theirs.length === 0) return [paragraph('You’re on call here. Nothing waits for you now.')];
  const shown = await Promise.all(
    theirs.slice(0, Math.min(room, mostForClinician)).map(async ({ line, now: duties }) => {
      const items = itemsNow(line, duties, view, now).filter(isOpen);
      const texts = await Promise.all(items.map((item) => itemText(item, view, names, now)));
      return paragraphBeside(
        `call:${line.id}`,
        [titleOf(line), ...texts].join('\n'),
        openButton(view.ward.id, line),
      );
    }),
  );
  const left = theirs.length - shown.length;
  return [
    paragraph(
      rich`You’re on call here. *${theirs.length === 1 ? 'This line needs' : `These ${theirs.length} lines need`} you:*`,
    ),
    ...shown,
    ...(left > 0 ? [paragraph(`${left} more: /artline due in the channel.`)] : []),
  ];
}

function itemsNow(line: LineState, duties: OwnLine['now'], { ward }: WardView, now: number): Item[] {
  // What a clinician must look at is read before care that is late.
  const [theirs = [], care = []] = [true, false].map((is) =>
    duties.filter(({ kind }) => isClinicians(kind) === is),
  );
  return [...theirs, ...care].map(({ kind, dueAt }) => {
    const asked = { lineId: line.id, kind, dueAt };
    return { asked, line, status: dutyStatus(line, ward.policy, asked, dueAt, now) };
  });
}

function titleOf(line: LineState): string {
  return rich`*${line.patient.name}* · ${placeWords(line)}${awayPlaceWords(line)}`;
}

function openButton(wardId: string, line: LineState): ButtonOf {
  return {
    action: `open:card:${line.id}`,
    text: 'Open',
    value: actionValue({ w: wardId, l: line.id }),
    label: `Open ${line.patient.name}, ${placeWords(line)}`,
  };
}

/** `Next: 02:00 Biscuit, flush · 02:20 Miso, site and limb check`: what comes first of each line, in its order. */
function nextParts(own: readonly OwnLine[], { ward }: WardView, now: number): Part[] {
  const coming = own
    .flatMap(({ line, next }) => (next ? [{ line, next }] : []))
    .toSorted((a, b) => a.next.dueAt - b.next.dueAt);
  if (coming.length === 0) return [];
  const each = coming
    .slice(0, mostNext)
    .map(
      ({ line, next }) =>
        `• ${capital(dueWords(line, ward.policy, next, now))} ${line.patient.name} (${placeWords(line)}): ${dutyName(next.kind, line)}`,
    );
  const left = coming.length - mostNext;
  return paragraphs([rich`*Next*`, ...each, ...(left > 0 ? [`and ${left} more`] : [])]);
}
