import { instantMeantBy, instantsShowing } from '../../domain/shifts/wall-instants.ts';
import { zoneOffsetMs } from '../../domain/shifts/zone-offset.ts';
import { dayMs, hourMs, minuteMs } from '../../domain/time.ts';
import { excerpt } from './clean-text.ts';
import { foldWord, wordsOf } from './fold-words.ts';
import { personWord } from './person-word.ts';
import type { WardTime } from './time-words.ts';

/**
 * What the words after `cover` ask for, in ms: `from` is null where it begins now, `until` where no end was said. Messages
 * are plain text.
 */
export type CoverWords =
  | { is: 'form'; away?: string }
  | { is: 'ok'; away: string; by: string; from: number | null; until: number | null }
  | { is: 'back'; away: string }
  | { is: 'wrong'; message: string };

/** A beginning that has just been is meant as now, ms: it takes a moment to say it. */
export const nowMeantMs = 15 * minuteMs;

/** Words that say what the time after them is. */
const toWords: Readonly<Record<string, 'from' | 'until'>> = {
  from: 'from',
  until: 'until',
  till: 'until',
  to: 'until',
};

/**
 * Reads `@ina by @teo`, `@ina by @teo until 07:00`, `@ina by @teo from 02:00 until 06:00`, `@ina by @teo from tomorrow 19:00
 * until tomorrow 23:00`, `@ina back`. A time alone is the end.
 */
export function coverFromWords(text: string, ward: WardTime, command: string): CoverWords {
  const words = wordsOf(text);
  if (words.length === 0) return { is: 'form' };
  const example = `Write it like this: ${command} cover @name by @name until 07:00, or from 02:00 until 06:00, or ${command} cover @name back.`;
  const away = personWord(words[0]);
  if (away === undefined)
    return {
      is: 'wrong',
      message: `I can’t tell who “${excerpt(words[0] ?? '')}” is: type @ and choose the person. ${example}`,
    };
  const rest = words.slice(1).filter((word) => personWord(word) !== undefined || foldWord(word) !== '');
  const folded = rest.map(foldWord);
  if (rest.length === 0) return { is: 'form', away };
  if (rest.length === 1 && folded[0] === 'back') return { is: 'back', away };
  const byAt = folded[0] === 'by' ? 1 : 0;
  const by = personWord(rest[byAt]);
  if (by === undefined) return { is: 'wrong', message: `Who stands in? ${example}` };
  if (by === away) return { is: 'back', away };
  const time = timesOf(folded.slice(byAt + 1));
  const typed = excerpt(rest.slice(byAt + 1).join(' '));
  if (time === null)
    return { is: 'wrong', message: `“${typed}” doesn’t say clearly from when until when. ${example}` };
  const begins = time.from === null ? null : comingClock(time.from, ward.now - nowMeantMs, ward);
  const from = begins !== null && begins > ward.now ? begins : null;
  const until = time.until === null ? null : comingClock(time.until, from ?? ward.now, ward);
  const wrong =
    (time.from !== null && begins === null && time.from) ||
    (time.until !== null && until === null && time.until);
  return wrong
    ? { is: 'wrong', message: `“${excerpt(wrong.join(' '))}” isn’t a time still to come. ${example}` }
    : { is: 'ok', away, by, from, until };
}

/** The words of the beginning and of the end, each null where it was not said; null where one was said twice. */
function timesOf(folded: readonly string[]): Record<'from' | 'until', string[] | null> | null {
  const times: Record<'from' | 'until', string[] | null> = { from: null, until: null };
  let which: 'from' | 'until' = 'until';
  for (const word of folded) {
    const next = Object.hasOwn(toWords, word) ? toWords[word] : undefined;
    if (next !== undefined) {
      if (times[next] !== null) return null;
      which = next;
      times[which] = [];
    } else if (word !== 'at') {
      times[which] = [...(times[which] ?? []), word];
    }
  }
  // "from now" is what is meant where no beginning is said.
  if (times.from?.join(' ') === 'now') times.from = null;
  return times;
}

/** The next instant (ms) after one at which the ward's clock shows what was said: `07:00`, `tomorrow 19:00` from today. */
export function comingClock(words: readonly string[], after: number, { now, zone }: WardTime): number | null {
  const isTomorrow = words[0] === 'tomorrow';
  const [clock, ...more] = isTomorrow ? words.slice(1) : words;
  const match = /^([01]?\d|2[0-3]):([0-5]\d)$/.exec(clock ?? '');
  if (!match || more.length > 0) return null;
  const dayOf = (at: number) => Math.floor((at + zoneOffsetMs(zone, at)) / dayMs);
  // Within the hour that comes twice the second of two may be the next.
  const onDay = (day: number) => {
    const reading = day * dayMs + Number(match[1]) * hourMs + Number(match[2]) * minuteMs;
    return [instantMeantBy(zone, reading), ...instantsShowing(zone, reading)];
  };
  if (isTomorrow) return onDay(dayOf(now) + 1)[0] ?? null;
  return [dayOf(after), dayOf(after) + 1].flatMap(onDay).find((instant) => instant > after) ?? null;
}
