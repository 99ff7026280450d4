import { owedLines } from '../domain/duties/duties-of-line.ts';
import type { AppDeps } from './app-deps.ts';
import type { Intent } from './decide-drafts.ts';
import { noticePost } from './notice-post.ts';
import type { Post } from './ports.ts';
import { type Outcome, recordOnLines } from './record-on-lines.ts';

/** To whom lines go: single ones by id, and all others of the ward where `others` names somebody. */
export interface ShareOut {
  lines: ReadonlyMap<string, string>;
  others?: string;
}

/**
 * Gives lines to nurses, all in one change: at once, or for the shift that starts at `from` (ms); one that has begun
 * meanwhile is at once. Whoever is given lines by somebody else hears of it by direct message. "All others" are the lines
 * that are in or followed up when it is recorded.
 */
export async function assignLines(
  deps: AppDeps,
  intent: Intent,
  { lines: single, others }: ShareOut,
  from: number | null,
): Promise<Outcome> {
  const { ward, lines } = await deps.record.readWard(intent.wardId);
  const now = deps.clock.now();
  const rest = others === undefined ? [] : owedLines(lines, ward.policy, now).map(({ id }) => id);
  const shared = new Map([
    ...rest.flatMap((id) => (others === undefined ? [] : [[id, others] as const])),
    ...single,
  ]);
  const planned = from !== null && from > now ? { from } : {};
  return recordOnLines(
    deps,
    intent,
    [...shared].map(([lineId, nurse]) => ({
      lineId,
      draft: { kind: 'assigned', body: { nurse, ...planned } },
    })),
    (outcome, at) => givenPosts(outcome, intent.by, at),
  );
}

/** One direct message to each nurse who was given lines by somebody else. */
function givenPosts({ results }: Outcome, by: string, now: number): Post[] {
  const taken = results.flatMap(({ is, draft, lineId }) =>
    is === 'taken' && draft.kind === 'assigned' && draft.body.nurse !== by ? [{ lineId, ...draft.body }] : [],
  );
  return [...Map.groupBy(taken, ({ nurse }) => nurse)].map(([nurse, mine]) =>
    noticePost(
      `2.given.${now.toString(36)}.${nurse}`,
      { user: nurse },
      now,
      { what: 'given', user: by, ...(mine[0]?.from === undefined ? {} : { for: mine[0].from }) },
      mine.map(({ lineId }) => lineId),
    ),
  );
}
