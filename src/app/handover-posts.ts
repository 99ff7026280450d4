import { owedLines } from '../domain/duties/duties-of-line.ts';
import type { HandedLine, ShiftHandover } from '../domain/handover/shift-handover.ts';
import type { LineState } from '../domain/record/line-state.ts';
import type { Post, WardView } from './ports.ts';

/** Characters of patients to a message, whose text holds 4,000. */
const pageRoom = 3_800;
/** What is said of a line besides free text and faults, at the most. */
const plainLength = 900;
/** Of the latest notes a handover repeats so many, each up to so many characters. */
export const notesShown = 3;
const noteLength = 130;
const faultLength = 130;
/** One trouble and what to do if it comes back. */
const troubleLength = 150;

/** How many messages the parts of a handover take: what follows the first in the channel, and the visits in its thread. */
export interface HandoverPages {
  channel: number;
  visits: number;
}

/** What a handover brings with it as files, in its thread. */
const handoverFiles = ['picture', 'paper'] as const;
/** A file that comes with a handover. */
export type HandoverFile = (typeof handoverFiles)[number];

/** Which file of a handover a post is; null for a message. */
export function handoverFileOf({ kind, about }: Post): HandoverFile | null {
  return (kind === 'handover' && handoverFiles.find((what) => what === about?.what)) || null;
}

/** Said in the thread in place of a file that could not be added. */
export function fileLostPost(post: Post, what: HandoverFile): Post {
  return { ...post, key: `4${post.key.slice(1)}`, about: { ...post.about, what: 'file lost', text: what } };
}

/** The key of the first message of the handover for `forMs`. */
export function firstPostKey(forMs: number): string {
  return `3.handover.${forMs.toString(36)}.000`;
}

/**
 * The first message of a handover; what else there is follows once it stands, see `restOfHandover`. `forMs`: the shift start
 * it is for, or the instant it was asked for; it tells handovers apart.
 */
export function handoverPosts({ ward, lines }: WardView, forMs: number, now: number): Post[] {
  const owed = owedLines(lines, ward.policy, now);
  const out = lines.filter((line) => !owed.includes(line)).map(({ id }) => id);
  return [
    {
      key: firstPostKey(forMs),
      kind: 'handover',
      to: 'ward',
      lines: [...owed.map(({ id }) => id), ...out],
      asked: [],
      at: now,
      about: {
        what: 'accept',
        for: forMs,
        versions: {
          ward: ward.version,
          lines: Object.fromEntries(lines.map(({ id, version }) => [id, version])),
        },
      },
    },
  ];
}

/**
 * What follows the first message of a handover: more of the same in the channel where it did not fit, then in its thread
 * (`threadId`) each patient in ISBAR order and the later visits of the coming shift. All of one instant: that of the first.
 */
export function restOfHandover(
  first: Post,
  { watch, stable }: ShiftHandover,
  pages: HandoverPages,
  threadId: string,
): Post[] {
  const ids = [...watch, ...stable].map(({ line }) => line.id);
  const details = pagesOf([...watch, ...stable].toSorted(byName));
  // In the thread nobody is notified: it comes behind every reminder that waits.
  const post = (
    rank: number,
    number: number,
    lineIds: string[],
    about: NonNullable<Post['about']>,
  ): Post => ({
    ...first,
    key: `${rank}${first.key.slice(1, -3)}${String(number).padStart(3, '0')}`,
    lines: lineIds,
    about: { ...first.about, ...about },
  });
  const inThread = { thread: threadId };
  return [
    ...counted(pages.channel - 1).map((page) => post(3, page, ids, { what: 'more', page: page + 1 })),
    ...details.map((page, index) =>
      post(4, index, page, { what: 'patients', page: index + 1, pages: details.length, ...inThread }),
    ),
    ...counted(pages.visits).map((page) => post(4, 500 + page, ids, { what: 'rounds', page, ...inThread })),
    ...handoverFiles.map((what, index) => post(7, 700 + index, ids, { what, ...inThread })),
  ];
}

/** 1, 2, … up to `most`. */
function counted(most: number): number[] {
  return Array.from({ length: Math.max(0, most) }, (_, index) => index + 1);
}

function byName({ line: a }: HandedLine, { line: b }: HandedLine): number {
  return a.patient.name.localeCompare(b.patient.name, 'en') || a.placed.at - b.placed.at;
}

/** Ids of the lines of each page: as many as their words leave room for, so that none is cut short. */
function pagesOf(lines: readonly HandedLine[]): string[][] {
  const pages: string[][] = [];
  let left = 0;
  for (const handed of lines) {
    const takes = lengthOfPatient(handed.line) + handed.troubles.length * troubleLength;
    const last = pages.at(-1);
    if (last && takes <= left) last.push(handed.line.id);
    else pages.push([handed.line.id]);
    left = (last && takes <= left ? left : pageRoom) - takes;
  }
  return pages;
}

function lengthOfPatient({ patient, indication, notes, faults }: LineState): number {
  const notesLength = notes
    .slice(-notesShown)
    .reduce((sum, { text }) => sum + Math.min(noteLength, written(text)), 0);
  return (
    plainLength +
    written(patient.name) +
    written(indication ?? '') +
    notesLength +
    faults.length * faultLength
  );
}

/** Length as the platform writes it: `&`, `<` and `>` take up to five characters. */
function written(text: string): number {
  return text.length + 4 * (text.match(/[&<>]/g)?.length ?? 0);
}
