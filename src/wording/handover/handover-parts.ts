import type { ShiftHandover } from '../../domain/handover/shift-handover.ts';
import { wallClock } from '../../domain/shifts/wall-clock.ts';
import { onCallFor } from '../../domain/ward/on-call.ts';
import { briefCaution, clockText } from '../care/line-words.ts';
import { needsOf } from '../care/round-words.ts';
import { namesOfLines, visitRows } from '../care/visit-words.ts';
import type { Names } from '../names.ts';
import { italic, rich } from '../rich-text.ts';
import { sizeOf } from '../shorten.ts';
import { handoverHead } from './handover-head.ts';
import { asides, stableRow, watchRow } from './handover-rows.ts';

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

/** The channel's messages of a handover, a list of sections each, and those of its thread that go on with the visits. */
export interface HandoverParts {
  channel: string[][];
  visits: string[][];
}

/**
 * What a handover says below its head. *Watch* comes first and whole, its worst in the first message; then every stable line;
 * then the coming visits: the next one always, the others as far as the room goes. The rest of them follow in the thread, with
 * what the shift's visits need.
 */
export async function handoverParts(handover: ShiftHandover, names: Names): Promise<HandoverParts> {
  const rows = rowsOf(handover);
  // A name that can't be looked up for once is longer: a visit must not fall between channel and thread for it.
  const { shown } = layOut(handover, rows, await namedOf(handover, usualNames));
  const { channel } = layOut(handover, rows, await namedOf(handover, names), shown);
  return { channel, visits: threadParts(handover, rows.later.slice(shown)) };
}

const usualNames: Names = { of: () => Promise.resolve('Wilhelmina Brandt') };

/** What a handover says without anybody's name: a row each, and the rows of each visit. */
interface Rows {
  watch: string[];
  stable: string[];
  next: string[];
  later: string[][];
}

function rowsOf(handover: ShiftHandover): Rows {
  const { watch, stable, visits, ward, coming } = handover;
  const lines = [...watch, ...stable].map(({ line }) => line);
  const words = {
    nameOf: namesOfLines(lines),
    clock: clockOf(handover),
    // The head says who that is: nothing is said twice.
    who: onCallFor(ward, coming.fromMs) ? 'the clinician' : 'a clinician',
  };
  const [next = [], ...later] = visits
    .map((visit) => visitRows(visit, lines, words.nameOf, words.clock))
    .filter((rows) => rows.length > 0);
  return {
    watch: watch.map((one) => watchRow(one, handover, words)),
    stable: stable.map((one) => stableRow(one, handover, words)),
    next,
    later,
  };
}

const clockOf =
  ({ ward, atMs }: ShiftHandover) =>
  (at: number) =>
    clockText(ward.policy, at, atMs);

/** What names people: the head, which takes room, and the asides. */
async function namedOf(handover: ShiftHandover, names: Names): Promise<{ head: string; asides: string[] }> {
  const { watch, stable, ward } = handover;
  const lines = [...watch, ...stable].map(({ line }) => line);
  return {
    head: await handoverHead(handover, { ward, lines }, names),
    asides: await asides(handover, names, clockOf(handover)),
  };
}

/** The messages in the channel, and how many visits after the next they show: `shown`, or as many as there is room for. */
function layOut(
  { watch, stable, ward, coming }: ShiftHandover,
  rows: Rows,
  named: { head: string; asides: string[] },
  shown?: number,
): { channel: string[][]; shown: number } {
  const isSmall = watch.length + stable.length <= fewLines;
  const room = (isSmall ? firstMax : partMax) - sizeOf(named.head) - briefCaution.length - statusRoom;
  const parts = new Parts(room);
  parts.all('Watch, most urgent first', rows.watch, (left) =>
    italic(`${left} more to watch in the message below.`),
  );
  parts.all('Stable; doubts are marked', rows.stable);
  parts.all('', named.asides);
  const until = wallClock(ward.policy.shifts.zone, coming.toMs);
  if (rows.next.length === 0) parts.all('', [`Nothing is due until ${until}.`]);
  else parts.all(`Visits until ${until}`, rows.next);
  const later = rows.later.map((visit) => visit.join('\n'));
  const inThread = (left: number) => italic(`${left} more ${left === 1 ? 'visit' : 'visits'} in the thread.`);
  const count = shown ?? parts.fitting(later, inThread, isSmall ? keptFree : 0);
  parts.some(later, count, inThread);
  return { channel: parts.texts(), shown: count };
}

/** The visits that aren't in the channel, and what all of the shift's need; none where there is nothing to say. */
function threadParts(handover: ShiftHandover, later: readonly string[][]): string[][] {
  const parts = new Parts(partMax);
  parts.all(`Later visits until ${clockOf(handover)(handover.coming.toMs)}`, later.flat());
  const stock = needsOf(handover.visits.flatMap(({ duties }) => duties));
  if (stock !== '') parts.all('Stock for the shift', [stock]);
  return parts.texts().filter((lists) => lists.length > 0);
}

/** Messages being filled with lists of rows; a row is never cut, and none but those of `some` is left out. */
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

  /** How many more rows of the list begun last there is room for but `kept` characters, with a word on how many are left out. */
  fitting(rows: readonly string[], more: (left: number) => string, kept: number): number {
    const room = this.left - kept;
    let used = 0;
    const tooMany = rows.findIndex((row, index) => {
      used += sizeOf(row) + 1;
      return used + (index === rows.length - 1 ? 0 : sizeOf(more(rows.length)) + 1) > room;
    });
    return tooMany === -1 ? rows.length : tooMany;
  }

  /** The first `count` of more rows of the list begun last, and how many are left out. */
  some(rows: readonly string[], count: number, more: (left: number) => string): void {
    for (const row of rows.slice(0, count)) this.put(row);
    if (count < rows.length) this.put(more(rows.length - count));
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
