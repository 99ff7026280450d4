import type { Asked } from '../domain/duties/duty-status.ts';
import { dutyKinds } from '../domain/duty-kind.ts';
import type { Post } from './ports.ts';

/** How much of one message a line and each of its duties take, and how much a message holds; in characters. */
export interface Room {
  line: number;
  duty: number;
  most: number;
}

/**
 * Lines with their buttons. A message holds 50 blocks and some 13,000 characters of them; a line takes up to about
 * 1,400 characters of that and each of its duties up to 450.
 */
export const roomWithButtons: Room = { line: 1_400, duty: 450, most: 11_000 };
/**
 * A visit to more lines than have room with their buttons: a row of words a line, and one tap for all of it, which names each
 * patient again. The platform writes `&`, `<` and `>` in up to five characters.
 */
export function roomOfRows(names: readonly string[]): Room {
  const longest = Math.max(0, ...names.map((name) => name.length + 4 * (name.match(/[&<>]/g)?.length ?? 0)));
  return { line: 80 + 2 * longest, duty: 35, most: 3_400 };
}
/** Lines in words alone; the text of a message that is brought up to date holds 4,000 characters. */
export const roomInWords: Room = { line: 100, duty: 110, most: 3_000 };

/** Whether these duties have room in one message with their buttons. */
export function fitsWithButtons(duties: readonly Asked[]): boolean {
  const lines = new Set(duties.map(({ lineId }) => lineId)).size;
  return lines * roomWithButtons.line + duties.length * roomWithButtons.duty <= roomWithButtons.most;
}

/**
 * The posts that ask for duties: one, or as many as the platform's size of a message makes of it, since one too large
 * would be refused and a reminder lost. What belongs to one line stays together; the line with the gravest duty comes
 * first, then the longest due.
 */
export function asking(duties: readonly Asked[], room: Room, post: Omit<Post, 'lines' | 'asked'>): Post[] {
  const gravity = ({ kind }: Asked) => dutyKinds.indexOf(kind);
  const ordered = duties.toSorted((a, b) => gravity(a) - gravity(b) || a.dueAt - b.dueAt);
  const parts: Asked[][] = [];
  let left = 0;
  for (const mine of Map.groupBy(ordered, ({ lineId }) => lineId).values()) {
    const takes = room.line + mine.length * room.duty;
    const last = parts.at(-1);
    if (last && takes <= left) {
      last.push(...mine);
      left -= takes;
    } else {
      parts.push(mine);
      left = room.most - takes;
    }
  }
  return (parts.length > 0 ? parts : [[]]).map((part, index) => ({
    ...post,
    key: index === 0 ? post.key : `${post.key}.${String(index).padStart(3, '0')}`,
    lines: [...new Set(part.map(({ lineId }) => lineId))],
    asked: part.map(({ lineId, kind, dueAt }) => ({ lineId, kind, dueAt })),
  }));
}
