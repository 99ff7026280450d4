import type { Post, WardView } from '../../app/ports.ts';
import { dutiesOfLine } from '../../domain/duties/duties-of-line.ts';
import { isClinicians } from '../../domain/duty-kind.ts';
import { nurseFor, onCallFor } from '../../domain/ward/on-call.ts';
import { listed } from '../../wording/care/duty-words.ts';
import type { Names } from '../../wording/names.ts';
import type { OpenItem } from './asked-items.ts';

/** Who has what of a nurse’s lines is due still, where that is somebody else by now: they were told. Null where nobody else has. */
export async function withAnotherNow(
  { to, about, lines: ids }: Post,
  { ward, lines }: WardView,
  names: Names,
  now: number,
): Promise<string | null> {
  if (about?.what !== 'nurse' || to === 'ward') return null;
  const others = lines.flatMap((line) => {
    const { user } = nurseFor(ward, line, now);
    if (user === to.user || !ids.includes(line.id)) return [];
    const isDue = dutiesOfLine(line, ward.policy, now).some(
      ({ kind, dueAt }) => !isClinicians(kind) && dueAt <= now,
    );
    return isDue ? [user] : [];
  });
  if (others.length === 0) return null;
  return `Now with ${listed(await Promise.all([...new Set(others)].map((user) => names.of(user))))}.`;
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
