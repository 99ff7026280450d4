import { type AwayPlace, isLongAway } from '../../domain/away/away.ts';
import { isCapped } from '../../domain/line/transducer.ts';
import type { WardPolicy } from '../../domain/policy/ward-policy.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { coverOf, standInFor } from '../../domain/ward/cover.ts';
import type { WardState } from '../../domain/ward/ward-state.ts';
import type { Names } from '../names.ts';
import { clockText, spanText } from './line-words.ts';

/** `to theatre`, `to imaging`, `for elsewhere`: after "left the ward". */
export function awayToWords(to: AwayPlace): string {
  return to === 'elsewhere' ? 'for elsewhere' : `to ${to}`;
}

/** `In theatre`, `Off the ward`. */
function whereWords({ to }: NonNullable<LineState['away']>): string {
  return to === 'elsewhere' ? 'Off the ward' : `In ${to}`;
}

/**
 * `In theatre since 14:05 with Ana`: where a patient off the ward is, and who has it; asks whether it is back after the ward's
 * hours. Empty for one on the ward.
 */
export async function offWardWords(
  line: LineState,
  ward: WardState,
  names: Names,
  now: number,
): Promise<string> {
  const { away } = line;
  if (!away) return '';
  const who =
    away.with === null
      ? ', with nobody named: the ward’s nurse is still asked'
      : ` with ${await withWords(away.with, ward, names, now)}`;
  const since = clockText(ward.policy, away.arrivedAt ?? away.at, now);
  return `${whereWords(away)} since ${since}${who}.${longAwayWords(line, ward.policy, now)}`;
}

async function withWords(user: string, { covers }: WardState, names: Names, now: number): Promise<string> {
  if (!coverOf(covers, user, now)) return names.of(user);
  return `${await names.of(standInFor(covers, user, now))} for ${await names.of(user)}`;
}

function longAwayWords(line: LineState, policy: WardPolicy, now: number): string {
  if (!line.away || !isLongAway(line, policy, now)) return '';
  return ` *Away for ${spanText(now - line.away.from)}: is it back? Then tell it.*`;
}

/** What a capped line is, for card, page and handover; empty for one on its transducer. */
export function cappedWords(line: Pick<LineState, 'cappedSpells'>, clock: (atMs: number) => string): string {
  if (!isCapped(line)) return '';
  return `Samples only: capped, no transducer since ${clock(line.cappedSpells.at(-1)?.from ?? 0)}`;
}
