import type { Post, WardView } from '../../app/ports.ts';
import type { Asked } from '../../domain/duties/duty-status.ts';
import type { DutyKind } from '../../domain/duty-kind.ts';
import { type Reader, readers, stampOf } from '../../domain/ladder/steps.ts';
import type { Marks, Notified } from '../../domain/record/line-state.ts';
import { type Item, isOpen, itemsOf } from './asked-items.ts';

/** Which reader a message of what is late is for, or stands in for as a notice to the ward; null for every other message. */
export function readerOf({ about }: Post): Reader | null {
  if (about?.what === 'nobody on call') return 'clinician';
  if (about?.what === 'nobody answered') return 'backup';
  const reader = about?.what === 'unreached' ? about.text : about?.what;
  return readers.find((one) => one === reader) ?? null;
}

/** What of all that was said of a duty the message's reader was told. */
function wordsTo(post: Post, reader: Reader, { [reader]: words, clinician }: Marks): Notified[] {
  // Where nobody is on call, what is cried out to the ward goes to the backup as well.
  const cried = reader === 'backup' && clinician?.user === undefined ? clinician : undefined;
  return [...(words && isToThem(post, words) ? [words] : []), ...(cried ? [cried] : [])];
}

/** Whether the ladder told this of whoever the message is for. */
function isToThem({ kind, to, about }: Post, { user }: Notified): boolean {
  if (kind === 'escalation') return to !== 'ward' && user === to.user;
  if (about?.what === 'unreached') return user === about.user;
  return about?.what === 'nobody answered' || user === undefined;
}

/**
 * What a reader's message of what is late says now: what it was made for, and what was added to it since. Where the reader
 * was told some of it again in a newer message, `saidAgainAt` (ms) is when.
 */
export function standingItems(
  post: Post,
  view: WardView,
  now: number,
): { items: Item[]; saidAgainAt: number | null } {
  const reader = readerOf(post);
  if (reader === null) return { items: itemsOf(post, view, now), saidAgainAt: null };
  const said = view.lines.flatMap(({ id, marks }) =>
    (Object.entries(marks) as [DutyKind, Marks][]).flatMap(([kind, each]) =>
      // The day's questions have a message of their own.
      kind === 'stillNeeded' ? [] : wordsTo(post, reader, each).map((words) => ({ lineId: id, kind, words })),
    ),
  );
  // A notice may come in parts: what is added to it stands in the first.
  const isNotice = post.kind === 'notice';
  const isFirst = post.about?.page === undefined;
  const here: Asked[] = said
    .filter(({ words }) => (isNotice ? isFirst && words.joins === post.at : stampOf(words) === post.at))
    .map(({ lineId, kind, words }) => ({ lineId, kind, dueAt: words.dueAt }));
  const before = post.asked.filter(
    ({ lineId, kind }) => !here.some((one) => one.lineId === lineId && one.kind === kind),
  );
  const items = itemsOf({ ...post, asked: [...here, ...before] }, view, now);
  const newest = Math.max(0, ...said.map(({ words }) => stampOf(words)));
  const isRepeated = newest > post.at && items.some(isOpen);
  return { items, saidAgainAt: isRepeated ? newest : null };
}
