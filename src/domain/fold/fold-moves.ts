import { isCapped } from '../level/transducer.ts';
import type { EntryOf, FlushSource } from '../record/entry.ts';
import type { Cause, Done, LineState } from '../record/line-state.ts';
import { hourMs } from '../time.ts';

/** Times off the ward, and without a transducer, that are remembered in the state; all are in the log. */
const spellsKept = 5;

/** What changes when a line is taken off its transducer: flushed by hand from then on, its source set aside as it was left. */
export function cappedNow(
  before: LineState,
  { at, body }: EntryOf<'capped'>,
  cause: Cause,
): Partial<LineState> {
  const flush = body.flushed ? {} : { flushCause: before.flushCause ?? cause };
  if (isCapped(before)) return flush;
  const isByHand = before.flushMode === 'manual';
  return {
    ...flush,
    cappedSpells: [...before.cappedSpells, { from: at, until: null }].slice(-spellsKept),
    setAside: { flushMode: before.flushMode, source: sourceLeft(before, at) },
    flushMode: 'manual',
    flushModeSince: isByHand ? before.flushModeSince : at,
    // What it is flushed from by hand stays; a bag that fed it hangs by itself now.
    source: isByHand ? before.source : null,
  };
}

/** The source as it is when the line is taken off it: less what ran since it was recorded. */
function sourceLeft({ source, flushMode }: LineState, at: number): FlushSource | null {
  if (!source) return null;
  const { asOf, ...left } = source;
  if (flushMode === 'manual' || left.volumeMl === undefined || left.rateMlPerH === undefined) return left;
  const ranMl = (Math.max(0, at - asOf) / hourMs) * left.rateMlPerH;
  const { volumeMl, ...rest } = left;
  const leftMl = Math.floor((volumeMl - ranMl) * 10) / 10;
  return leftMl > 0 ? { ...rest, volumeMl: leftMl } : rest;
}

/** What changes when a line is joined to a transducer: zero, level and test are due at once. */
export function joinedNow(
  before: LineState,
  { at, body }: EntryOf<'transducerJoined'>,
  cause: Cause,
): Partial<LineState> {
  return {
    cappedSpells: before.cappedSpells.map((spell) =>
      spell.until === null ? { ...spell, until: at } : spell,
    ),
    setAside: null,
    flushMode: body.flushMode,
    flushModeSince: body.flushMode === before.flushMode ? before.flushModeSince : at,
    source: body.source ? { ...body.source, asOf: at } : body.flushMode === 'manual' ? before.source : null,
    ...(body.newSet ? { setSince: at } : {}),
    zeroCause: cause,
    testCause: cause,
    levelCause: cause,
  };
}

type Move = EntryOf<'leftWard'> | EntryOf<'arrived'> | EntryOf<'returned'>;

/**
 * What changes when a patient leaves the ward, arrives, or is back. Each step asks for a zero and a level anew: what was
 * zeroed on one table is not level on the next. That a zero must be checked before treating on a number: Gordon VL et al.,
 * Med Instrum 1987;21(2):87-91; at each change of place: common practice, no source.
 */
export function movedNow(
  before: LineState,
  entry: Move,
  done: Done,
  causeOf: (why: Cause['why']) => Cause,
): Partial<LineState> {
  const { at, body, kind } = entry;
  const cause = causeOf(kind === 'leftWard' ? 'left' : kind);
  const asked = {
    zeroCause: askedBy(before.zeroCause, cause),
    levelCause: askedBy(before.levelCause, cause),
  };
  if (kind === 'leftWard') {
    const { to } = entry.body;
    const from = before.away?.from ?? at;
    const spells = before.away ? before.awaySpells : [...before.awaySpells, { from, until: null }];
    return {
      ...asked,
      away: { ...done, from, to, with: body.with ?? before.away?.with ?? null, arrivedAt: null },
      awaySpells: spells.slice(-spellsKept),
    };
  }
  if (kind === 'arrived') {
    const { away } = before;
    return { ...asked, away: away && { ...away, with: body.with ?? away.with, arrivedAt: at } };
  }
  return {
    ...asked,
    away: null,
    awaySpells: before.awaySpells.map((spell) => (spell.until === null ? { ...spell, until: at } : spell)),
    ...(body.with === undefined ? {} : { nurse: body.with, nurseSince: Math.max(at, entry.told) }),
  };
}

/** Of a move the latest step asks; what asked before the move still does. */
function askedBy(standing: Cause | null, step: Cause): Cause {
  const isOfMove = standing?.why === 'left' || standing?.why === 'arrived';
  return standing && !isOfMove && standing.at <= step.at ? standing : step;
}
