import { hourMs, minuteMs } from '../../domain/duties/duty.ts';
import { dayMs } from '../../domain/shifts/day-ms.ts';
import { instantMeantBy, instantsShowing } from '../../domain/shifts/wall-instants.ts';
import { zoneOffsetMs } from '../../domain/shifts/zone-offset.ts';
import { excerpt } from './clean-text.ts';
import { foldWord, wordsOf } from './fold-words.ts';
import { personWord } from './person-word.ts';
import type { WardTime } from './time-words.ts';

/** What the words after `cover` ask for; `until` (ms) is null where no end was said. Messages are plain text. */
export type CoverWords =
  | { is: 'form'; away?: string }
  | { is: 'told'; away: string; by: string; until: number | null }
  | { is: 'back'; away: string }
  | { is: 'wrong'; message: string };

/** Reads `@ina by @teo`, `@ina by @teo until 07:00`, `@ina by @teo until tomorrow 19:00`, `@ina back`. */
export function coverFromWords(text: string, ward: WardTime, command: string): CoverWords {
  const words = wordsOf(text);
  if (words.length === 0) return { is: 'form' };
  const example = `Write it like this: ${command} cover @name by @name until 07:00, or ${command} cover @name back.`;
  const away = personWord(words[0]);
  if (away === undefined)
    return { is: 'wrong', message: `“${excerpt(words[0] ?? '')}” is not a person of the list. ${example}` };
  const rest = words.slice(1).filter((word) => personWord(word) !== undefined || foldWord(word) !== '');
  const folded = rest.map(foldWord);
  if (rest.length === 0) return { is: 'form', away };
  if (rest.length === 1 && folded[0] === 'back') return { is: 'back', away };
  const byAt = folded[0] === 'by' ? 1 : 0;
  const by = personWord(rest[byAt]);
  if (by === undefined) return { is: 'wrong', message: `Who stands in? ${example}` };
  const end = rest.slice(byAt + 1);
  if (by === away) return { is: 'back', away };
  if (end.length === 0) return { is: 'told', away, by, until: null };
  const clock = folded.slice(byAt + 1).filter((word) => word !== 'until' && word !== 'at');
  const until = comingClock(clock, ward);
  return until === null
    ? { is: 'wrong', message: `“${excerpt(end.join(' '))}” is not an end. ${example}` }
    : { is: 'told', away, by, until };
}

/** The next instant (ms) after now at which the ward's clock shows what was said: `07:00`, `tomorrow 19:00`. */
function comingClock(words: readonly string[], { now, zone }: WardTime): number | null {
  const isTomorrow = words[0] === 'tomorrow';
  const [clock, ...more] = isTomorrow ? words.slice(1) : words;
  const match = /^([01]?\d|2[0-3]):([0-5]\d)$/.exec(clock ?? '');
  if (!match || more.length > 0) return null;
  const today = Math.floor((now + zoneOffsetMs(zone, now)) / dayMs);
  // Within the hour that comes twice the second of two may be the next.
  const onDay = (day: number) => {
    const reading = day * dayMs + Number(match[1]) * hourMs + Number(match[2]) * minuteMs;
    return [instantMeantBy(zone, reading), ...instantsShowing(zone, reading)];
  };
  return (
    (isTomorrow ? [today + 1] : [today, today + 1]).flatMap(onDay).find((instant) => instant > now) ?? null
  );
}
