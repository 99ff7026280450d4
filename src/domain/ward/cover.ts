import { hourMs } from '../time.ts';

/** From `from` up to `until` (ms), what would go to `away` goes to `by` instead; set by `setBy` at `at` (ms). */
export interface Cover {
  /** The number of its entry in the ward's log, from 1. */
  number: number;
  away: string;
  by: string;
  from: number;
  until: number;
  setBy: string;
  at: number;
  /** Whether people were told that it began, and that it is over. One that begins when it is recorded needs no word of that. */
  startNotified: boolean;
  endNotified: boolean;
}

/** Covers that a ward keeps at one time, those to come among them; a ward has fewer people away. */
export const mostCovers = 40;
/** How far ahead a cover may end, ms: what lasts longer is a change of the rota. */
export const longestCoverMs = 31 * 24 * hourMs;
/** Until how long after its end people are still told that a cover is over, ms. */
const endNotifiedForMs = hourMs;

/**
 * The covers after one more was recorded at `cover.at`. From its beginning on it takes the place of what was recorded before about
 * the same person: one that runs then ends there, one that would begin before its end falls away. `by` themselves only
 * ends and takes back. Somebody named as cover is there: from where following who covers whom would lead from them back to
 * the person away, their own covers end and fall away likewise. So of one person one cover stands at most, and no chain of
 * covers runs in a circle.
 *
 * Example: Teo for Ina until 07:00, then Olga for Ina 02:00 to 06:00 → Teo until 02:00, Olga until 06:00, then Ina.
 */
export function coversAfter(covers: readonly Cover[], cover: Cover): Cover[] {
  const { away, by, from, until, at } = cover;
  // Those that ended a moment ago stay for as long as that is to be told, and are the first to go.
  const kept = covers
    .filter((one) => one.until > at || (!one.endNotified && one.until > at - endNotifiedForMs))
    .toSorted((a, b) => Number(a.until > at) - Number(b.until > at));
  const others = freed(kept, away, { from, until }, at);
  if (by === away || until <= from) return others;
  // A chain can come to lead back only as a cover begins.
  const begins = others.map((one) => one.from).filter((one) => one > from && one < until);
  const back = [from, ...begins.toSorted((a, b) => a - b)].find(
    (instant) => standInFor(others, by, instant) === away,
  );
  const apart = back === undefined ? others : freed(others, by, { from: back, until }, at);
  return [...apart, cover].slice(-mostCovers);
}

/** The covers without those of `user` that begin in a time; one that runs at its beginning ends there. */
function freed(
  covers: readonly Cover[],
  user: string,
  { from, until }: { from: number; until: number },
  now: number,
): Cover[] {
  return covers.flatMap((one) => {
    if (one.away !== user || one.until <= from) return [one];
    if (one.from >= from) return one.from < until || one.from === from ? [] : [one];
    return from <= now ? [] : [{ ...one, until: from }];
  });
}

/** The cover of this person that stands at `now`; undefined when they are there. */
export function coverOf(covers: readonly Cover[], user: string, now: number): Cover | undefined {
  return covers.find(({ away, from, until }) => away === user && from <= now && now < until);
}

/** Covers that stand at `now` (ms) or are to come, the earliest first. */
export function coversFrom(covers: readonly Cover[], now: number): Cover[] {
  return covers.filter(({ until }) => until > now).toSorted((a, b) => a.from - b.from);
}

/**
 * Who stands in for a person at `now`: their cover, that one's cover where it is away too, and so on; the person where
 * nobody does.
 */
export function standInFor(covers: readonly Cover[], user: string, now: number): string {
  let there = user;
  for (let cover = coverOf(covers, there, now); cover; cover = coverOf(covers, there, now)) there = cover.by;
  return there;
}

/** That a cover begins or is over, when (ms), as people are to be told. */
export interface CoverStep {
  what: 'begun' | 'over';
  cover: Cover;
  at: number;
}

/**
 * What people are still to be told of covers, the earliest first, as things stand at `now` (ms): that one begins which was
 * recorded ahead, however late while it stands; that one is over, for an hour, unless another stands then or has ended since.
 */
export function coverStepsAt(covers: readonly Cover[], now: number): CoverStep[] {
  return covers
    .flatMap((cover): CoverStep[] => {
      const { away, from, until, startNotified, endNotified } = cover;
      const isAwayStill = coverOf(covers, away, Math.max(until, now)) !== undefined;
      const isOlder = covers.some((one) => one.away === away && one.until > until && one.until <= now);
      const isOwed = !endNotified && now < until + endNotifiedForMs && !isAwayStill && !isOlder;
      return [
        ...(!startNotified && until > now ? [{ what: 'begun' as const, cover, at: from }] : []),
        ...(isOwed ? [{ what: 'over' as const, cover, at: until }] : []),
      ];
    })
    .toSorted((a, b) => a.at - b.at);
}
