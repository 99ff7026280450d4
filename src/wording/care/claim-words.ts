import { usualDrafts } from '../../domain/duties/usual-drafts.ts';
import type { DutyKind } from '../../domain/duty-kind.ts';
import type { WardPolicy } from '../../domain/policy/ward-policy.ts';
import type { EntryDraft, EntryKind } from '../../domain/record/entry.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { italic } from '../rich-text.ts';
import { flushedWords } from './fluid-words.ts';

/**
 * What one tap on "done" would record of these duties, in the order it is done at the bedside, in words that a button or the
 * line above it must show before the tap: `levelled`, `zeroed`, `test normal`. Nothing of what is recorded is left out.
 */
export function claimsOf(kinds: readonly DutyKind[], line: LineState, policy: WardPolicy): string[] {
  return usualDrafts(kinds).map((draft) => claimOf(draft, line, policy));
}

/** What a tap on "done" says of each kind of entry it can write. */
const claims: Partial<Record<EntryKind, string>> = {
  levelled: 'levelled',
  zeroed: 'zeroed',
  fastFlushTested: 'test normal',
  sourceChecked: 'source checked',
  siteChecked: 'site nothing amiss',
  redressed: 'redressed, site nothing amiss',
  holdEnded: 'not oozing',
  pulseChecked: 'pulse present',
};

function claimOf({ kind }: EntryDraft, line: LineState, policy: WardPolicy): string {
  const claim = kind === 'flushed' ? flushedWords(line, policy).replace(/^F/, 'f') : claims[kind];
  if (claim === undefined) throw new Error(`one tap records ${kind}, and nothing says so before`);
  return claim;
}

/** What a phone shows of a button before it cuts it off. */
const shownOfButton = 30;

/** The button that records all of it: it names what it records where a phone shows that whole, else the line above does. */
export function allDoneText(claims: readonly string[]): string {
  const named = namedIn(claims);
  return named.length <= shownOfButton ? named : 'All done, as listed';
}

/** What *All done, as listed* records, for the text above it; empty where the button itself says so. */
export function allDoneRecords(claims: readonly string[]): string {
  if (claims.length < 2 || namedIn(claims).length <= shownOfButton) return '';
  return `${italic('All done')} records: ${claims.join(', ')}.`;
}

function namedIn(claims: readonly string[]): string {
  return `All done: ${claims.join(', ')}`;
}
