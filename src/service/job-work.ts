import type { JobDeps } from '../app/app-deps.ts';
import { auditMonths } from '../app/audit-months.ts';
import type { Audits } from '../app/audits.ts';
import { deliverEverywhere } from '../app/deliver-everywhere.ts';
import { deliverPosts } from '../app/deliver-posts.ts';
import { noticeCommandsLost } from '../app/notice-commands-lost.ts';
import { noticeDowntime } from '../app/notice-downtime.ts';
import { wakeInTurn } from '../app/wake-in-turn.ts';
import { personalReportPages, wardReportPages } from '../chat/messages/audit-report.ts';
import type { JobCases } from '../jobs/worker.ts';
import { noTraces } from '../observe/traces.ts';
import type { redisChatSign, redisHeartbeat } from '../redis/heartbeat.ts';
import { aside, coalesced } from './aside.ts';
import type { LastWordKeeper } from './last-word-keeper.ts';
import type { ServiceParts } from './service-parts.ts';
import { sweeping } from './sweeping.ts';
import type { Workplaces } from './workplaces.ts';

/** Homes are brought up to date at most this often, real ms. */
const homesEveryMs = 2_000;

/** What the jobs do, and how an end waits for it. */
export interface JobWork {
  cases: JobCases;
  /** Resolves when nothing that a sweep began beside itself is running. */
  idle(): Promise<void>;
  stop(): Promise<void>;
}

/** What the jobs work with besides what their use cases need. */
export interface JobWorkParts {
  audits: Audits;
  places: Workplaces;
  lastWords: LastWordKeeper;
  heartbeat: ReturnType<typeof redisHeartbeat>;
  chatSign: ReturnType<typeof redisChatSign>;
  /** Leaves the chat’s own sign of life, where this process has a chat. */
  beat: () => Promise<void>;
}

/** Puts the jobs together: waking a ward, delivering its posts, and the sweep with all that runs beside it. */
export function jobWork(
  deps: JobDeps,
  { audits, places, lastWords, heartbeat, chatSign, beat }: JobWorkParts,
  { redis, roles, clock, traces = noTraces }: Pick<ServiceParts, 'redis' | 'roles' | 'clock' | 'traces'>,
): JobWork {
  const { watch, realNow } = deps;
  const sinceMs = realNow();
  const trouble = (text: string) => (cause: unknown) => watch.trouble(text, {}, cause);
  const sweeps = sweeping(deps, {
    redis,
    heartbeat,
    beats: roles.has('jobs'),
    rate: () => ('rate' in clock ? clock.rate() : 1),
  });
  const keepHomes = coalesced(
    () => places.refreshHomes(),
    homesEveryMs,
    trouble('Homes could not be brought up to date'),
  );
  const keepLastWord = aside(() => lastWords.pushDue(), trouble('a sweep could not send'));
  const deliverAll = aside(() => deliverEverywhere(deps), trouble('a sweep could not send'));
  const monthlyAudits = aside(
    auditMonths({
      ...deps,
      audits,
      pagesOf: (audit, { lead, shifts }) => ({
        ward: wardReportPages(audit),
        lead: lead === null ? 0 : personalReportPages(audit, { user: lead, lead }, shifts.zone),
      }),
    }),
    trouble('the audits of the month could not be looked at'),
  );
  const besideSweeps = [deliverAll, keepHomes, keepLastWord, monthlyAudits];
  return {
    cases: {
      wakeWard: (wardId) => traces.span('wake-up', { wardId }, () => wakeInTurn(deps, wardId)),
      async deliverPosts(wardId) {
        await traces.span('delivery', { wardId }, () => deliverPosts(deps, wardId));
        keepHomes.start();
      },
      async sweepWards(sweep) {
        await noticeDowntime(deps, heartbeat);
        await beat();
        await noticeCommandsLost(deps, chatSign, { sinceMs }).catch(
          trouble('the chat’s sign of life could not be looked at'),
        );
        await traces.span('sweep', {}, () => sweeps.sweep(sweep));
        // What waits for the chat platform waits beside the sweep: one that hangs must not stop the sign of life.
        for (const work of besideSweeps) work.start();
      },
    },
    async idle() {
      await Promise.all(besideSweeps.map((work) => work.done()));
    },
    stop: () => sweeps.stop(),
  };
}
