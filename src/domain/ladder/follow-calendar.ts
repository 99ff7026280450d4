import { owedLines } from '../duties/duties-of-line.ts';
import { wardStepsAt } from '../handover/handover-schedule.ts';
import type { LineState } from '../record/line-state.ts';
import { coverStepsAt } from '../ward/cover.ts';
import type { WardState } from '../ward/ward-state.ts';
import { shutNotificationsAt } from './channel-shut.ts';
import type { WakePlan } from './wake-plan.ts';

/** What the ward as a whole is owed at `now`: handovers, covers that begin or end, word that its channel is shut. */
export function followCalendar(
  plan: WakePlan,
  ward: WardState,
  lines: readonly LineState[],
  now: number,
): void {
  for (const step of wardStepsAt(ward, lines, now).filter(({ at }) => at <= now)) {
    plan.posts.push({ to: 'ward', what: step.what, for: step.for });
    plan.wardDrafts.push(
      step.what === 'handover'
        ? {
            kind: 'handedOver',
            body: {
              for: step.for,
              auto: true,
              lines: owedLines(lines, ward.policy, now).length,
            },
          }
        : { kind: 'handoverNudged', body: { for: step.for } },
    );
  }
  for (const step of coverStepsAt(ward.covers, now).filter(({ at }) => at <= now)) {
    plan.posts.push({ to: 'ward', what: 'cover', step });
    plan.wardDrafts.push({ kind: 'coverTold', body: { target: step.cover.number, what: step.what } });
  }
  for (const { user } of shutNotificationsAt(ward, lines, now).filter(({ at }) => at <= now)) {
    plan.posts.push({ to: 'person', what: 'channel shut', user });
    plan.wardDrafts.push({ kind: 'channelTold', body: { user } });
  }
}
