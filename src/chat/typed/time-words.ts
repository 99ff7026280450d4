import { futureToleranceMs, placingBackDateMs } from '../../domain/accept/refusal.ts';
import { wallClock } from '../../domain/shifts/wall-clock.ts';
import { instantsShowing } from '../../domain/shifts/wall-instants.ts';
import { zoneOffsetMs } from '../../domain/shifts/zone-offset.ts';
import { dayMs, hourMs, minuteMs } from '../../domain/time.ts';
import { excerpt } from './clean-text.ts';
import { foldCase, foldWord } from './fold-words.ts';

/** When a thing happened, as recorded, and the words that did not say so. */
export type TimeRead = { at: number; isGiven: boolean; rest: string[] } | { problem: string; rest: string[] };

/** Now (ms) and the ward's IANA zone. */
export interface WardTime {
  now: number;
  zone: string;
}

interface Found {
  from: number;
  used: number;
  at: number | { problem: string };
}

/**
 * Finds the one time said anywhere in `words`: `now`, `20 min ago`, `1 h 20 min ago`, `at 02:10`, `yesterday 23:50`,
 * `02:10 first`. Without one it is `now`. A clock time is the latest such reading of the ward's clock that is not in
 * the future (2 minutes aside); of a reading that came twice that night the later one, unless `first` is said.
 */
export function timeFromWords(words: readonly string[], ward: WardTime): TimeRead {
  const rest: string[] = [];
  const found: (Found & { typed: string })[] = [];
  for (let index = 0; index < words.length; ) {
    const time = timeAt(words, index, ward);
    if (time === null) {
      rest.push(words[index] ?? '');
      index += 1;
    } else {
      found.push({ ...time, typed: words.slice(index, index + time.used).join(' ') });
      index += time.used;
    }
  }
  const [first, second] = found;
  if (first === undefined) return { at: ward.now, isGiven: false, rest };
  if (second !== undefined) {
    const both = `“${excerpt(first.typed)}” and “${excerpt(second.typed)}”`;
    return { problem: `Two times were given: ${both}. Write one.`, rest };
  }
  if (typeof first.at !== 'number') return { ...first.at, rest };
  if (first.at < ward.now - placingBackDateMs) {
    const typed = excerpt(first.typed);
    return { problem: `“${typed}” is too long ago; at most 14 days are taken. Write a later time.`, rest };
  }
  return { at: first.at, isGiven: true, rest };
}

/** Whether a time, right or wrong, is said from word `index` on. */
export function isTimeAt(words: readonly string[], index: number, ward: WardTime): boolean {
  return timeAt(words, index, ward) !== null;
}

function timeAt(words: readonly string[], from: number, ward: WardTime): Found | null {
  return (
    nowAt(words, from, ward) ??
    agoAt(words, from, ward) ??
    otherClockAt(words, from) ??
    clockAt(words, from, ward)
  );
}

function nowAt(words: readonly string[], from: number, { now }: WardTime): Found | null {
  return foldWord(words[from] ?? '') === 'now' ? { from, used: 1, at: now } : null;
}

const spanUnits: Readonly<Record<string, number>> = {
  m: minuteMs,
  min: minuteMs,
  mins: minuteMs,
  minute: minuteMs,
  minutes: minuteMs,
  h: hourMs,
  hr: hourMs,
  hrs: hourMs,
  hour: hourMs,
  hours: hourMs,
};

/** `20 min ago`, `20min ago`, `1 h 20 min ago`, `an hour ago`, `half an hour ago`. */
function agoAt(words: readonly string[], from: number, { now }: WardTime): Found | null {
  let index = from;
  let spanMs = 0;
  for (let parts = 0; parts < 2; parts += 1) {
    const span = spanAt(words, index);
    if (span === null) break;
    spanMs += span.ms;
    index += span.used;
    if (foldWord(words[index] ?? '') === 'and') index += 1;
  }
  if (index === from) return null;
  if (foldWord(words[index] ?? '') === 'ago')
    return { from, used: index + 1 - from, at: now - Math.round(spanMs) };
  const typed = words.slice(from, index).join(' ');
  return {
    from,
    used: index - from,
    at: { problem: `“${excerpt(typed)}”: write “${excerpt(typed)} ago” if that is when it was.` },
  };
}

function spanAt(words: readonly string[], from: number): { ms: number; used: number } | null {
  const folded = words.slice(from, from + 3).map(foldWord);
  const [first = '', second = '', third = ''] = folded;
  if (first === 'half' && second === 'an' && third === 'hour') return { ms: hourMs / 2, used: 3 };
  if ((first === 'an' || first === '1/2') && second === 'hour')
    return { ms: first === 'an' ? hourMs : hourMs / 2, used: 2 };
  const match = /^(\d{1,5}(?:[.,]\d{1,2})?)([a-z]*)$/u.exec(foldCase(words[from] ?? ''));
  if (match === null) return null;
  const [, digits = '', glued = ''] = match;
  const name = glued === '' ? second : glued;
  const unitMs = Object.hasOwn(spanUnits, name) ? spanUnits[name] : undefined;
  if (unitMs === undefined || (glued === '' && name === 'm')) return null;
  return { ms: Number(digits.replace(',', '.')) * unitMs, used: glued === '' ? 2 : 1 };
}

const clockText = /^(\d{1,2}):(\d{2})(?::\d{2})?$/;

/** A clock written in another way, which is no time here and must be no number either: `7pm`, `19h25`, `at 19.25`, `at noon`. */
function otherClockAt(words: readonly string[], from: number): Found | null {
  const at = foldWord(words[from] ?? '') === 'at' ? 1 : 0;
  const [word = '', next = ''] = words.slice(from + at, from + at + 2).map(foldWord);
  const named = at === 1 && (word === 'noon' || word === 'midnight');
  const apart = /^[ap]\.?m$/u.test(next) && /^\d{1,2}(?:[:.]\d{2})?$/.test(word);
  const match = /^(\d{1,2})(?:[:.h](\d{2}))?(?:([ap])\.?m)?$/u.exec(apart ? `${word}${next}` : word);
  const half = match?.[3];
  const isOther =
    half !== undefined || /^\d{1,2}h\d{2}$/.test(word) || (at === 1 && /^\d{1,2}\.\d{2}$/.test(word));
  if (!named && (!match || !isOther)) return null;
  // "500 mL at 2.50 mL/h" is a rate.
  if (half === undefined && /^(?:m|c|k|%|g\b|l\b|u|\/)/u.test(next)) return null;
  const used = at + 1 + (apart ? 1 : 0);
  if (foldWord(words[from + used] ?? '') === 'ago') return null;
  const hour = named
    ? word === 'noon'
      ? 12
      : 0
    : (Number(match?.[1]) % (half ? 12 : 24)) + (half === 'p' ? 12 : 0);
  const clock = `${String(hour).padStart(2, '0')}:${match?.[2] ?? '00'}`;
  const typed = excerpt(words.slice(from + at, from + used).join(' '));
  return {
    from,
    used,
    at: { problem: `“${typed}”: write the time on the 24-hour clock with a colon, ${clock}.` },
  };
}

/** A reading of the clock with `at`, `yesterday`, `today`, `first`, `second` around it. */
function clockAt(words: readonly string[], from: number, ward: WardTime): Found | null {
  const folded = words.slice(from, from + 6).map(foldWord);
  let index = 0;
  let day: 'today' | 'yesterday' | undefined;
  let which: 'first' | 'second' | undefined;
  let clock: string | undefined;
  for (; index < folded.length; index += 1) {
    const word = folded[index] ?? '';
    const next = folded[index + 1] ?? '';
    if (
      word === 'at' &&
      clock === undefined &&
      (clockText.test(next) || next === 'yesterday' || next === 'today' || isFourDigits(folded, index + 1))
    )
      continue;
    if ((word === 'yesterday' || word === 'today') && day === undefined) day = word;
    else if (
      (word === 'first' || word === 'second') &&
      which === undefined &&
      (clock !== undefined || clockText.test(next))
    )
      which = word;
    else if (
      clock === undefined &&
      (clockText.test(word) || (folded[index - 1] === 'at' && isFourDigits(folded, index)))
    )
      clock = word;
    else break;
  }
  if (clock === undefined) {
    if (day === undefined) return null;
    return {
      from,
      used: index,
      at: { problem: `“${day}” needs the time of day, for example “${day} 23:50”.` },
    };
  }
  if (/^[ap]\.?m$/u.test(folded[index] ?? '')) {
    return {
      from,
      used: index + 1,
      at: { problem: `“${clock} ${folded[index]}”: write it on the 24-hour clock, for example 14:10.` },
    };
  }
  return { from, used: index, at: instantOf(clock, day, which, ward) };
}

/** `0210` is a time only after `at`, and only when no unit follows. */
function isFourDigits(folded: readonly string[], index: number): boolean {
  if (!/^(?:[01]\d|2[0-3])[0-5]\d$/.test(folded[index] ?? '')) return false;
  return !/^(?:m|c|k|%|g\b|l\b)/u.test(folded[index + 1] ?? '');
}

function instantOf(
  clock: string,
  day: 'today' | 'yesterday' | undefined,
  which: 'first' | 'second' | undefined,
  { now, zone }: WardTime,
): number | { problem: string } {
  const match = clockText.exec(clock) ?? /^(\d{2})(\d{2})$/.exec(clock);
  const hour = Number(match?.[1]);
  const minute = Number(match?.[2]);
  if (hour > 23 || minute > 59)
    return { problem: `“${clock}” is not a time of day. Write 00:00 to 23:59, for example 02:10.` };
  const text = `${String(hour).padStart(2, '0')}:${String(minute).padStart(2, '0')}`;
  const today = Math.floor((now + zoneOffsetMs(zone, now)) / dayMs);
  const days =
    day === 'today' ? [today] : day === 'yesterday' ? [today - 1] : [today + 1, today, today - 1, today - 2];
  const latest = now + futureToleranceMs;
  for (const one of days) {
    const readingMs = one * dayMs + hour * hourMs + minute * minuteMs;
    const instants = instantsShowing(zone, readingMs);
    if (instants.length === 0) {
      // Skipped once the clock shows a later time: until then it’s the day before that is meant.
      if (readingMs > latest + zoneOffsetMs(zone, latest)) continue;
      return {
        problem: `${text} did not exist ${dayName(one, today)}: the clocks were put forward over it. Write the time your clock showed.`,
      };
    }
    if (instants.every((at) => at > latest)) continue;
    if (which !== undefined && instants.length === 1) {
      return { problem: `${text} came only once ${dayName(one, today)}. Leave out “${which}”.` };
    }
    const at =
      which === undefined ? instants.findLast((each) => each <= latest) : instants[which === 'first' ? 0 : 1];
    if (at === undefined || at > latest) return toCome(`${text} (${which})`, zone, now);
    return at;
  }
  return toCome(day === undefined ? text : `${text} ${day}`, zone, now);
}

function toCome(text: string, zone: string, now: number): { problem: string } {
  return {
    problem: `${text} is still to come: it is ${wallClock(zone, now)} now. Write a time that has been.`,
  };
}

function dayName(day: number, today: number): string {
  if (day === today) return 'today';
  return day === today - 1 ? 'yesterday' : 'that day';
}
