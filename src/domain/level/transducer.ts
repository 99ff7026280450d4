import type { DutyKind } from '../duty-kind.ts';
import type { LineState } from '../record/line-state.ts';

type Capped = Pick<LineState, 'cappedSpells'>;

/** Capped: no transducer on it now. It gives samples, and no pressures. */
export function isCapped({ cappedSpells }: Capped): boolean {
  return cappedSpells.at(-1)?.until === null;
}

/** Whether the line was capped at an instant, ms: what is recorded late counts as of then. */
export function wasCappedAt({ cappedSpells }: Capped, at: number): boolean {
  return cappedSpells.some(({ from, until }) => from <= at && (until === null || at < until));
}

/** Since when the line has had its transducer, ms: from placing, or since it was joined last. */
export function onTransducerSince({ cappedSpells, placed }: Capped & Pick<LineState, 'placed'>): number {
  return Math.max(placed.at, cappedSpells.at(-1)?.until ?? 0);
}

/** Duties of the transducer and of what hangs on it: a capped line owes none of them. */
const ofTransducer: ReadonlySet<DutyKind> = new Set(['zero', 'test', 'set', 'source', 'runOut']);

/** Whether a duty of this kind is owed only while the line has a transducer. */
export function needsTransducer(kind: DutyKind): boolean {
  return ofTransducer.has(kind);
}
