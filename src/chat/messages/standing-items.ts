import type { Post, WardView } from '../../app/ports.ts';
import type { DutyKind } from '../../domain/duties/duty-kind.ts';
import type { Asked } from '../../domain/duties/duty-status.ts';
import { type Reader, readers, stampOf } from '../../domain/ladder/steps.ts';
import type { Told } from '../../domain/record/line-state.ts';
import { type Item, isOpen, itemsOf } from './asked-items.ts';

/** Which reader a message of what is late is for; null for every other message. */
export function readerOf({ about }: Post): Reader | null {
  return readers.find((reader) => reader === about?.what) ?? null;
}

/**
 * What a reader's message of what is late says now: what it was made for, and what was added to it since. Where the reader
 * was told some of it again in a newer message, `toldAgainAt` (ms) is when.
 */
export function standingItems(
  post: Post,
  view: WardView,
  now: number,
): { items: Item[]; toldAgainAt: number | null } {
  const reader = readerOf(post);
  if (reader === null) return { items: itemsOf(post, view, now), toldAgainAt: null };
  const user = post.to === 'ward' ? undefined : post.to.user;
  const theirs = (words: Told | undefined): words is Told => words !== undefined && words.user === user;
  const said = view.lines.flatMap(({ id, marks }) =>
    (Object.entries(marks) as [DutyKind, (typeof marks)[DutyKind]][]).flatMap(([kind, each]) => {
      // The day's questions have a message of their own.
      const words = kind === 'stillNeeded' ? undefined : each?.[reader];
      return theirs(words) ? [{ lineId: id, kind, words }] : [];
    }),
  );
  const here: Asked[] = said
    .filter(({ words }) => stampOf(words) === post.at)
    .map(({ lineId, kind, words }) => ({ lineId, kind, dueAt: words.dueAt }));
  const before = post.asked.filter(
    ({ lineId, kind }) => !here.some((one) => one.lineId === lineId && one.kind === kind),
  );
  const items = itemsOf({ ...post, asked: [...here, ...before] }, view, now);
  const newest = Math.max(0, ...said.map(({ words }) => stampOf(words)));
  const isToldAgain = newest > post.at && items.some(isOpen);
  return { items, toldAgainAt: isToldAgain ? newest : null };
}
