import type { SiteFinding } from '../record/entry.ts';
import { type FailureReason, failureOf } from '../record/removal-reasons.ts';
import type { LineCourse } from './line-course.ts';

/** The first time that a line was found to have a complication of one kind, ms. */
export interface Complication {
  kind: FailureReason;
  at: number;
}

/**
 * The complications of a line while it was in, each kind once, when first recorded: what it was removed for, and what was
 * seen at the site or below it whether it was removed or not (swelling; ooze is bleeding; a cold part or no pulse is a limb
 * change). Kinds after Mooshian et al., J Feline Med Surg 2019;21:173-177; there occlusion, haematoma, bleeding and loss of
 * pulse are minor, ischaemic damage and infection major. Pain alone is a sign and none of them. An occlusion that was
 * cleared is not in the record as one, so occlusions are those that ended a line. A pulse lost after removal is counted by
 * `pulseAfterRemoval`.
 */
export function complicationsOf({ steps }: Pick<LineCourse, 'steps'>): Complication[] {
  const first = new Map<FailureReason, number>();
  const add = (kind: FailureReason, at: number) => {
    if (!first.has(kind)) first.set(kind, at);
  };
  const see = (finding: SiteFinding | undefined, at: number) => {
    if (finding?.swelling) add('swelling', at);
    if (finding?.ooze) add('bleeding', at);
    if (finding?.cold || finding?.noPulse) add('pulse or limb change', at);
  };
  for (const { before, entry } of steps) {
    if (before.removed) break;
    if (entry.kind === 'siteChecked' || entry.kind === 'redressed') see(entry.body.finding, entry.at);
    if (entry.kind === 'pulseChecked' && (entry.body.pulse === 'absent' || entry.body.cold))
      add('pulse or limb change', entry.at);
    if (entry.kind === 'removed') {
      see(entry.body.finding, entry.at);
      const failure = failureOf(entry.body.reason);
      if (failure) add(failure, entry.at);
    }
  }
  return [...first].map(([kind, at]) => ({ kind, at }));
}
