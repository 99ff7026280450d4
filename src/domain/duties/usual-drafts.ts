import type { DutyKind } from '../duty-kind.ts';
import type { EntryDraft } from '../record/entry.ts';
import { usualDraft } from './usual-draft.ts';

/** In which order a round is done: a redress moves the line, so zero comes after it, and the test after zero. */
const doingOrder: readonly DutyKind[] = ['redress', 'site', 'source', 'flush', 'zero', 'test'];

/**
 * What "done, nothing amiss" records of several duties of one line, in the order they are done at the bedside. Zero and
 * level are one act; a redress records what was seen at the site, so that a site check with it is not recorded twice.
 */
export function usualDrafts(kinds: readonly DutyKind[]): EntryDraft[] {
  return [...new Set(kinds)]
    .filter((kind) => kind !== 'site' || !kinds.includes('redress'))
    .sort((a, b) => doingOrder.indexOf(a) - doingOrder.indexOf(b))
    .flatMap((kind): EntryDraft[] => {
      const usual = usualDraft(kind);
      if (usual === null) return [];
      return kind === 'zero' ? [{ kind: 'levelled', body: {} }, usual] : [usual];
    });
}
