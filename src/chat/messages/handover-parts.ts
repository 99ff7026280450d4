import type { ShiftHandover } from '../../domain/handover/shift-handover.ts';
import { wallClock } from '../../domain/shifts/wall-clock.ts';
import { onCallFor } from '../../domain/ward/on-call.ts';
import type { Names } from '../names.ts';
import { italic, rich } from '../rich-text.ts';
import { sizeOf } from '../room.ts';
import { handoverHead } from '../wording/handover-head.ts';
import { asides, stableRow, watchRow } from '../wording/handover-rows.ts';
import { briefCaution, clockText } from '../wording/line-words.ts';
import { needsOf } from '../wording/round-words.ts';
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
  // A name that can't be looked up for once is longer: a visit must not fall between channel and thread for it.
  const { shown } = await channelParts(handover, usualNames);
  const { parts, later } = await channelParts(handover, names, shown);
  return { channel: parts.texts(), visits: threadParts(handover, later.slice(shown)) };
}

const usualNames: Names = { of: () => Promise.resolve('Wilhelmina Brandt') };

/** The messages in the channel, the visits after the next, and how many of them are shown: `shown`, or as many as there is room for. */
async function channelParts(
  handover: ShiftHandover,
  names: Names,
  shown?: number,
): Promise<{ parts: Parts; later: string[]; shown: number }> {
  const { watch, stable, visits, atMs, ward, coming } = handover;
  const lines = [...watch, ...stable].map(({ line }) => line);
  const head = await handoverHead(handover, { ward, lines }, names);
  const words = {
    nameOf: namesOfLines(lines),
    clock: (at: number) => clockText(ward.policy, at, atMs),
    // The head says who that is: nothing is said twice.
    who: onCallFor(ward, coming.fromMs) ? 'the clinician' : 'a clinician',
  };
  const isSmall = lines.length <= fewLines;
  const parts = new Parts((isSmall ? firstMax : partMax) - sizeOf(head) - briefCaution.length - statusRoom);
  parts.all(
    'Watch, most urgent first',
    watch.map((one) => watchRow(one, handover, words)),
    (left) => italic(`${left} more to watch in the message below.`),
  );
  parts.all(
    'Stable; doubts are marked',
    stable.map((one) => stableRow(one, handover, words)),
  );
  parts.all('', await asides(handover, names, words.clock));
  const [next = [], ...later] = visits
    .map((visit) => visitRows(visit, lines, words.nameOf, words.clock))
    .filter((rows) => rows.length > 0);
  const until = wallClock(ward.policy.shifts.zone, coming.toMs);
  if (next.length === 0) parts.all('', [`Nothing is due until ${until}.`]);
  else parts.all(`Visits until ${until}`, next);
  const rows = later.map((visit) => visit.join('\n'));
  const inThread = (left: number) => italic(`${left} more ${left === 1 ? 'visit' : 'visits'} in the thread.`);
  return {
    parts,
    later: rows,
    shown: parts.some(rows, shown ?? parts.fitting(rows, inThread, isSmall ? keptFree : 0), inThread),
  };
}

/** The visits that aren't in the channel, and what all of the shift's need; none where there is nothing to say. */
function threadParts({ visits, coming, ward, atMs }: ShiftHandover, later: readonly string[]): string[][] {
  const parts = new Parts(partMax);
  const title = `Later visits until ${clockText(ward.policy, coming.toMs, atMs)}`;
  parts.all(
    title,
    later.flatMap((visit) => visit.split('\n')),
  );
  const stock = needsOf(visits.flatMap(({ duties }) => duties));
  if (stock !== '') parts.all('Stock for the shift', [stock]);
  return parts.texts().filter((lists) => lists.length > 0);
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
  some(rows: readonly string[], count: number, more: (left: number) => string): number {
    for (const row of rows.slice(0, count)) this.put(row);
    if (count < rows.length) this.put(more(rows.length - count));
    return count;
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
