import type { Screening } from '../domain/placing/screening.ts';
import type { LineState } from '../domain/record/line-state.ts';
import { onCallAt } from '../domain/ward/on-call.ts';
import type { WardState } from '../domain/ward/ward-state.ts';
import { noticePost } from './notice-post.ts';
import type { Post } from './ports.ts';

/** Whoever is named as having decided hears of it, unless they recorded it themselves. */
export function decidedPosts(
  lineId: string,
  screening: Screening | null | undefined,
  by: string,
  now: number,
  key = `1.decided.${lineId}`,
): Post[] {
  const clinician = screening?.override?.clinician;
  if (clinician === undefined || clinician === by) return [];
  const about = { what: 'decided', user: by };
  return [noticePost(key, { user: clinician }, now, about, [lineId])];
}

/**
 * The cautions of a line that is in were put right: whoever is named as having decided now hears of it; where nobody
 * decided on what is new, the clinician on call is asked to.
 */
export function screeningPosts(
  ward: WardState,
  line: LineState,
  before: Screening | null,
  by: string,
  now: number,
): Post[] {
  const { screening } = line;
  if (screening?.override && screening.override.at !== before?.override?.at)
    return decidedPosts(line.id, screening, by, now, `1.decided.${line.id}.${now.toString(36)}`);
  const onCall = onCallAt(ward, now);
  const isNew = screening?.undecided?.some((caution) => !before?.undecided?.includes(caution));
  if (!isNew || onCall === null || onCall === by) return [];
  const about = { what: 'to decide', user: by };
  return [noticePost(`1.todecide.${line.id}.${now.toString(36)}`, { user: onCall }, now, about, [line.id])];
}
