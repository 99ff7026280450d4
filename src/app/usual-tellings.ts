import { usualTelling } from '../domain/duties/usual-telling.ts';
import type { DutyKind } from '../domain/duty-kind.ts';
import type { Telling } from '../domain/record/entry.ts';

/** In which order a round is done: a redress moves the line, so zero comes after it, and the test after zero. */
const doingOrder: readonly DutyKind[] = ['redress', 'site', 'source', 'flush', 'zero', 'test'];

/**
 * What "done, nothing amiss" tells of several duties of one line, in the order they are done at the bedside. Zero and
 * level are one act; a redress tells what was seen at the site, so that a site check with it is not told twice.
 */
export function usualTellings(kinds: readonly DutyKind[]): Telling[] {
  return [...new Set(kinds)]
    .filter((kind) => kind !== 'site' || !kinds.includes('redress'))
    .sort((a, b) => doingOrder.indexOf(a) - doingOrder.indexOf(b))
    .flatMap((kind): Telling[] => {
      const usual = usualTelling(kind);
      if (usual === null) return [];
      return kind === 'zero' ? [{ kind: 'levelled', body: {} }, usual] : [usual];
    });
}
