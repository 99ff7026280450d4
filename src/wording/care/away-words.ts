import { awayByAnother, isDueOnReturn, isLongAway } from '../../domain/away/away.ts';
import type { Duty } from '../../domain/duties/duty.ts';
import { isCapped } from '../../domain/level/transducer.ts';
import type { WardPolicy } from '../../domain/policy/ward-policy.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import type { AwayPlace } from '../../domain/record/spells.ts';
import { coverOf, standInFor } from '../../domain/ward/cover.ts';
import type { WardState } from '../../domain/ward/ward-state.ts';
import type { Names } from '../names.ts';
import { rich } from '../rich-text.ts';
import { clockText, lineWords, spanText } from './line-words.ts';

/** ` for theatre`, ` for imaging`, to stand after "left the ward"; empty where nobody said where to. */
export function awayToWords(to: AwayPlace): string {
  return to === 'elsewhere' ? '' : ` for ${to}`;
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
  if (!away) return elsewhereWords(line, ward, names, now);
  const who =
    away.with === null
      ? ', with nobody named: the ward’s nurse is still asked'
      : ` with ${await withWords(away.with, ward.covers, names, now)}`;
  const since = clockText(ward.policy, away.arrivedAt ?? away.at, now);
  return `${whereWords(away)} since ${since}${who}.${longAwayWords(line, ward.policy, now)}`;
}

/** `Recorded as on the ward, though by its other line Mochi is in theatre since 18:05 with Ana.`; empty where nothing speaks against it. */
async function elsewhereWords(line: LineState, ward: WardState, names: Names, now: number): Promise<string> {
  const other = awayByAnother(line);
  if (!other) return '';
  const where = await offWardWords(other, ward, names, now);
  const said = where.slice(0, 1).toLowerCase() + where.slice(1);
  return `Recorded as on the ward, though by another line ${line.patient.name} is ${said}`;
}

/** `19:00`; or `when it is back, 22:10 at the latest`, for what waits for the return. */
export function dueWords(
  line: Pick<LineState, 'away'>,
  policy: WardPolicy,
  duty: Pick<Duty, 'kind' | 'dueAt'>,
  now: number,
): string {
  const at = clockText(policy, duty.dueAt, now);
  return isDueOnReturn(line, policy, duty, now) ? `when it is back, ${at} at the latest` : at;
}

/** `, in theatre`, to stand after who has the patient; empty for one on the ward. */
export function awayPlaceWords({ away }: Pick<LineState, 'away'>): string {
  if (!away) return '';
  return away.to === 'elsewhere' ? ', off the ward' : `, in ${away.to}`;
}

/**
 * `Not in these rounds: Biscuit (left dorsal pedal), in theatre with Teo Marchetti.`: whom a plan of rounds leaves out, so that
 * nobody looks for them in it; empty where it leaves out none.
 */
export async function notVisitedWords(
  lines: readonly LineState[],
  { covers }: WardState,
  names: Names,
  now: number,
): Promise<string> {
  const each = await Promise.all(
    lines.flatMap((line) => {
      const user = line.removed ? null : (line.away?.with ?? null);
      if (user === null) return [];
      const has = withWords(user, covers, names, now);
      return [has.then((who) => `${lineWords(line)}${awayPlaceWords(line)} with ${who}`)];
    }),
  );
  return each.length === 0 ? '' : `Not in these rounds: ${each.join('; ')}.`;
}

async function withWords(
  user: string,
  covers: WardState['covers'],
  names: Names,
  now: number,
): Promise<string> {
  if (!coverOf(covers, user, now)) return names.of(user);
  return `${await names.of(standInFor(covers, user, now))} for ${await names.of(user)}`;
}

function longAwayWords(line: LineState, policy: WardPolicy, now: number): string {
  if (!line.away || !isLongAway(line, policy, now)) return '';
  return rich` *Away for ${spanText(now - line.away.from)}: is it back? Then record it.*`;
}

/** What a capped line is, for card, page and handover; empty for one on its transducer. */
export function cappedWords(line: Pick<LineState, 'cappedSpells'>, clock: (atMs: number) => string): string {
  if (!isCapped(line)) return '';
  return `Samples only: capped, no transducer since ${clock(line.cappedSpells.at(-1)?.from ?? 0)}`;
}
