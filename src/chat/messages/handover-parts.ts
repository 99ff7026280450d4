import type { ShiftHandover } from '../../domain/handover/shift-handover.ts';
import { wallClock } from '../../domain/shifts/wall-clock.ts';
import { onCallFor } from '../../domain/ward/on-call.ts';
import type { Names } from '../names.ts';
import { italic, rich } from '../rich-text.ts';
import { sizeOf } from '../room.ts';
import { handoverHead } from '../wording/handover-head.ts';
import { asides, stableRow, watchRow } from '../wording/handover-rows.ts';
import { briefCaution, clockText } from '../wording/line-words.ts';
import { bringWords } from '../wording/round-words.ts';
import { namesOfLines, visitRows } from '../wording/visit-words.ts';

/**
 * Characters of a handover's first message on a ward of up to `fewLines` lines: one and a half screens of a phone, read in a
 * minute. A fuller ward's first message, and each that follows, has what a message holds.
 */
const firstMax = 1_500;
const fewLines = 12;
const partMax = 2_900;
/** Left empty by visits after the next: what is on the phone's second screen is not read. */
const keptFree = 400;
/** Kept free for how it stands, and the spaces between. */
const statusRoom = 40;

/**
 * What the messages of a handover in the channel say below its head: a list of sections for each. *Watch* comes first and
 * whole, its worst in the first message; then every stable line; then the coming visits: the next one always, the others as far
 * as the room goes. All of them are in the thread.
 */
export async function handoverParts(handover: ShiftHandover, names: Names): Promise<string[][]> {
  const { watch, stable, visits, atMs, ward, coming } = handover;
  const lines = [...watch, ...stable].map(({ line }) => line);
  const head = await handoverHead(handover, { ward, lines }, names);
  const called = onCallFor(ward, coming.fromMs);
  const words = {
    nameOf: namesOfLines(lines),
    clock: (at: number) => clockText(ward.policy, at, atMs),
    // The head names them: nothing is said twice.
    who: called ? 'on-call' : 'a clinician',
  };
  const room =
    (lines.length <= fewLines ? firstMax : partMax) - sizeOf(head) - briefCaution.length - statusRoom;
  const rows = {
    watch: watch.map((one) => watchRow(one, handover, words)),
    asides: await asides(handover, names, words.clock),
    visits: visits.map((visit) => visitRows(visit, lines, words.nameOf, words.clock)),
  };
  const parts = new Parts(room);
  parts.all('Watch, most urgent first', rows.watch, (left) =>
    italic(`${left} more to watch in the message below.`),
  );
  parts.all(
    'Stable; doubts are marked',
    stable.map((one) => stableRow(one, handover, words)),
  );
  parts.all('', rows.asides);
  const [next = [], ...later] = rows.visits.filter((visit) => visit.length > 0);
  const until = wallClock(ward.policy.shifts.zone, coming.toMs);
  if (next.length === 0) parts.all('', [`Nothing is due until ${until}.`]);
  else {
    parts.all(`Visits until ${until}`, next);
    parts.asFit(
      later.map((visit) => visit.join('\n')),
      (left) => italic(`${left} more ${left === 1 ? 'visit' : 'visits'} in the thread.`),
      lines.length <= fewLines ? keptFree : 0,
    );
  }
  return parts.texts();
}

/** Every visit of the coming shift, with what to bring, cut to messages of the thread. */
export function visitPages(handover: ShiftHandover): string[][] {
  const { watch, stable, visits, atMs, ward } = handover;
  const lines = [...watch, ...stable].map(({ line }) => line);
  const nameOf = namesOfLines(lines);
  const clock = (at: number) => clockText(ward.policy, at, atMs);
  const parts = new Parts(partMax);
  parts.all(
    '',
    visits.flatMap((visit) => {
      const rows = visitRows(visit, lines, nameOf, clock);
      return rows.map((row, index) => (index === rows.length - 1 ? row + bringWords(visit.duties) : row));
    }),
  );
  return parts.texts();
}

/** Messages being filled with lists of rows; a row is never cut, and none but those of `asFit` is left out. */
class Parts {
  private readonly done: string[][][] = [[]];
  private left: number;

  constructor(firstRoom: number) {
    this.left = firstRoom;
  }

  /** A list with every row of it, going on in a message more where it must. `more`: what is said where it does. */
  all(title: string, rows: readonly string[], more: (left: number) => string = () => ''): void {
    rows.forEach((row, index) => {
      const after = rows.length - index - 1;
      const titled = index === 0 && title !== '' ? title.length + 3 : 0;
      const goesOn = after > 0 ? sizeOf(more(after)) + 1 : 0;
      if (sizeOf(row) + 1 + titled + goesOn > this.left && this.current.length > 0) {
        if (index > 0 && more(1) !== '') this.current.at(-1)?.push(more(after + 1));
        this.done.push([]);
        this.left = partMax;
        this.begin(index === 0 || title === '' ? title : `${title}, continued`);
      } else if (index === 0) this.begin(title);
      this.put(row);
    });
  }

  /** As many more rows of the list that was begun last as there is room for but `kept` characters, and how many are left out. */
  asFit(rows: readonly string[], more: (left: number) => string, kept: number): void {
    const room = () => this.left - kept - sizeOf(more(rows.length)) - 1;
    const fits = rows.findIndex((row, index) => {
      const isLast = index === rows.length - 1;
      if (sizeOf(row) + 1 > (isLast ? this.left - kept : room())) return true;
      this.put(row);
      return false;
    });
    if (fits !== -1) this.put(more(rows.length - fits));
  }

  texts(): string[][] {
    return this.done.map((lists) => lists.map((rows) => rows.join('\n')));
  }

  private get current(): string[][] {
    return this.done.at(-1) ?? [];
  }

  private begin(title: string): void {
    this.current.push([]);
    if (title !== '') this.put(rich`*${title}*`);
  }

  private put(row: string): void {
    this.current.at(-1)?.push(row);
    this.left -= sizeOf(row) + 1;
  }
}
