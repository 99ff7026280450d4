/** Until `until` (ms), what would go to `away` goes to `by` instead; told by `setBy` at `at` (ms). */
export interface Cover {
  away: string;
  by: string;
  until: number;
  setBy: string;
  at: number;
}

/** Covers that a ward keeps at one time; a ward has fewer people away. */
export const mostCovers = 40;
/** How far ahead a cover may end, ms: what lasts longer is a change of the rota. */
export const longestCoverMs = 31 * 24 * 3_600_000;

/**
 * The covers after one more was told at `cover.at`. A later one about the same person takes its place; `by` themselves, or
 * an end that is past, only ends it. Somebody named as cover is there: where following who covers whom would lead from
 * them back to the person away, their own cover ends. So no chain of covers runs in a circle.
 */
export function coversAfter(covers: readonly Cover[], cover: Cover): Cover[] {
  const others = covers.filter(({ away, until }) => away !== cover.away && until > cover.at);
  if (cover.by === cover.away || cover.until <= cover.at) return others;
  const leadsBack = standInFor(others, cover.by, cover.at) === cover.away;
  return [...others.filter(({ away }) => !leadsBack || away !== cover.by), cover].slice(-mostCovers);
}

/** The cover of this person that stands at `now`; undefined when they are there. */
export function coverOf(covers: readonly Cover[], user: string, now: number): Cover | undefined {
  return covers.find(({ away, at, until }) => away === user && at <= now && now < until);
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
