import type { Post, WardView } from '../../app/ports.ts';
import { dutiesOfLine } from '../../domain/duties/duties-of-line.ts';
import { isClinicians } from '../../domain/duty-kind.ts';
import { nurseFor, onCallFor } from '../../domain/ward/on-call.ts';
import { listed } from '../../wording/care/duty-words.ts';
import { lineWords } from '../../wording/care/line-words.ts';
import type { Names } from '../../wording/names.ts';
import type { Item, OpenItem } from './asked-items.ts';

/**
 * Who has what is due still of the lines a nurse was told of, where that is somebody else by now: they were told. Null where nobody
 * else has. `items`: what the message speaks of; the post names every line of the ward.
 */
export async function withAnotherNow(
  { to, about }: Post,
  items: readonly Item[],
  { ward }: WardView,
  names: Names,
  now: number,
): Promise<string | null> {
  if (about?.what !== 'nurse' || to === 'ward') return null;
  const lines = [...new Set(items.map(({ line }) => line))];
  const moved = lines.flatMap((line) => {
    const { user } = nurseFor(ward, line, now);
    if (user === to.user) return [];
    const isDue = dutiesOfLine(line, ward.policy, now).some(
      ({ kind, dueAt }) => !isClinicians(kind) && dueAt <= now,
    );
    return isDue ? [{ line, user }] : [];
  });
  if (moved.length === 0) return null;
  const each = await Promise.all(
    [...Map.groupBy(moved, ({ user }) => user)].map(async ([user, theirs]) => {
      const which = listed(theirs.map(({ line }) => lineWords(line)));
      return { which, who: await names.of(user) };
    }),
  );
  if (moved.length === lines.length) return `Now with ${listed(each.map(({ who }) => who))}.`;
  return `${each.map(({ which, who }) => `${which} is with ${who} now`).join('; ')}.`;
}

/** For whom this reader is told, where somebody is away whom they cover; nothing where it is their own. */
export async function standInWords(
  post: Post,
  open: readonly OpenItem[],
  { ward }: WardView,
  names: Names,
  now: number,
): Promise<string[]> {
  const told =
    post.about?.what === 'clinician'
      ? [onCallFor(ward, now)]
      : open.map(({ line }) => nurseFor(ward, line, now));
  const away = new Set(
    told.flatMap((who) =>
      who?.insteadOf && post.to !== 'ward' && who.user === post.to.user ? [who.insteadOf] : [],
    ),
  );
  if (away.size === 0) return [];
  return [`You’re covering for ${listed(await Promise.all([...away].map((user) => names.of(user))))}.`];
}
