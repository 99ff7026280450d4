import type { LineState } from '../../domain/record/line-state.ts';

type Removed = NonNullable<LineState['removed']>;

/** `tip whole`, `tip not whole`, `tip not whole, every piece found`, `tip not looked at`. */
export function tipWords({ tipWhole, pieceFound }: Pick<Removed, 'tipWhole' | 'pieceFound'>): string {
  if (tipWhole === undefined) return 'tip not looked at';
  if (tipWhole) return 'tip whole';
  return pieceFound ? 'tip not whole, every piece found' : 'tip not whole';
}

/** What a catheter that is not whole asks for; that and why are common practice, no source. */
export const keepCatheterWords = 'Keep the catheter and every piece for the clinician';
