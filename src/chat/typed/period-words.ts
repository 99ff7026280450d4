import { DateTime } from 'luxon';
import type { Period } from '../../domain/audit/line-course.ts';
import { excerpt } from './clean-text.ts';
import { foldWord, wordsOf } from './fold-words.ts';

/** A time that ends now, or what is wrong with the words for it. */
export type PeriodRead = { period: Period } | { problem: string };

type Unit = 'days' | 'weeks' | 'months' | 'years';

const units: readonly { unit: Unit; words: readonly string[]; most: number }[] = [
  { unit: 'days', words: ['d', 'day', 'days'], most: 3_650 },
  { unit: 'weeks', words: ['w', 'wk', 'wks', 'week', 'weeks'], most: 520 },
  { unit: 'months', words: ['mo', 'month', 'months'], most: 120 },
  { unit: 'years', words: ['y', 'yr', 'year', 'years'], most: 10 },
];

const usualDays = 90;
const allowed =
  'Give it with its unit, for example 90d, 12 weeks or 6 months, or a first day: since 2026-09-01.';

/**
 * The time an audit is asked for, up to and including `now` (ms): `90d`, `12 weeks`, `last 6 months`, `since 2026-09-01`; no
 * words are 90 days. Days and months are those of the calendar in `zone`; a first day counts from its midnight.
 */
export function periodFromWords(text: string, { now, zone }: { now: number; zone: string }): PeriodRead {
  const words = wordsOf(text).map(foldWord);
  if (words[0] === 'last' || words[0] === 'past') words.shift();
  const toMs = now + 1;
  const today = DateTime.fromMillis(now, { zone });
  if (words.length === 0) return { period: { fromMs: today.minus({ days: usualDays }).toMillis(), toMs } };
  const said = excerpt(text, 30);
  if (words[0] === 'since' || words[0] === 'from') {
    const [, day = '', ...more] = words;
    if (!/^\d{4}-\d{2}-\d{2}$/.test(day) || more.length > 0)
      return { problem: `“${said}” names no day. Write it as year-month-day: since 2026-09-01.` };
    const first = DateTime.fromISO(day, { zone });
    if (!first.isValid) return { problem: `There is no day ${day}. Write a day that is in the calendar.` };
    if (first.toMillis() > now) return { problem: `${day} has not come yet. Give a day that is past.` };
    if (first < today.minus({ years: 10 }))
      return { problem: `${day} is more than 10 years ago. Give a day within the last 10 years.` };
    return { period: { fromMs: first.toMillis(), toMs } };
  }
  const match = /^(\d{1,5}) ?([a-z]*)$/.exec(words.join(' '));
  if (match === null) return { problem: `“${said}” is no length of time. ${allowed}` };
  const [, digits = '', unitWord = ''] = match;
  if (unitWord === '') return { problem: `${digits} of what? ${allowed}` };
  if (unitWord === 'm')
    return { problem: `“${said}”: m may be minutes or months. Write months: ${digits} months.` };
  const unit = units.find(({ words: known }) => known.includes(unitWord));
  if (!unit) return { problem: `“${said}” has a unit that is not known here. ${allowed}` };
  const count = Number(digits);
  if (count < 1 || count > unit.most)
    return { problem: `${digits} ${unit.unit} cannot be counted. Give 1 to ${unit.most} ${unit.unit}.` };
  return { period: { fromMs: today.minus({ [unit.unit]: count }).toMillis(), toMs } };
}
