import { isPractise, type PractiseMeta, readPractiseMeta } from '../../chat/forms/practise-meta.ts';

/** What a view carries of its practice: undefined of a real view, null where it cannot be read. */
export function practiceCarried(
  view: { callback_id: string; private_metadata: string } | undefined,
  user: string,
): PractiseMeta | null | undefined {
  if (!view || !isPractise(view.callback_id)) return undefined;
  return readPractiseMeta(view.private_metadata, user);
}
