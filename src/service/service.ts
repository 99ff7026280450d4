import { randomBytes } from 'node:crypto';
import { animalsRecord } from '../app/animals-record.ts';
import type { AppDeps, JobDeps } from '../app/app-deps.ts';
import { auditMonths } from '../app/audit-months.ts';
import type { Audits } from '../app/audits.ts';
import { channelIds } from '../app/channel-ids.ts';
import type { Clock, HurriedClock } from '../app/clock.ts';
import { deliverEverywhere } from '../app/deliver-everywhere.ts';
import { deliverPosts } from '../app/deliver-posts.ts';
import { keepTogether } from '../app/handover-record.ts';
import { noticeCommandsLost } from '../app/notice-commands-lost.ts';
import { noticeDowntime } from '../app/notice-downtime.ts';
import { aheadOf, threadPace } from '../app/pace.ts';
import type { Alarm, WardRecord } from '../app/ports.ts';
import { lookAtChannel } from '../app/shut-channel.ts';
import { tellLoss } from '../app/tell-loss.ts';
import { unshrinkingRecord } from '../app/unshrinking-record.ts';
import { wakeInTurn } from '../app/wake-in-turn.ts';
import { workerAudits } from '../audit/worker-audits.ts';
import type { HandoverFiles } from '../chat/handover-files.ts';
import { personalReportPages, wardReportPages } from '../chat/messages/audit-report.ts';
import { oneServerWords } from '../chat/wording/one-server.ts';
import { defaultPolicy } from '../domain/policy/ward-policy.ts';
import { makeRecordFile } from '../export/make-record-file.ts';
import type { JobCases } from '../jobs/worker.ts';
import type { ReadinessCheck } from '../observe/health-routes.ts';
import { libraryLog } from '../observe/library-log.ts';
import type { Log } from '../observe/log.ts';
import type { Metrics } from '../observe/metrics.ts';
import { operatorWatch } from '../observe/operator-watch.ts';
import { makePaper } from '../paper/make-paper.ts';
import { shiftPicture } from '../pictures/shift-picture.ts';
import { stripPicture } from '../pictures/strip/strip-picture.ts';
import type { RedisTarget } from '../redis/connections.ts';
import type { Copies } from '../redis/copies.ts';
import { redisChannelIds } from '../redis/redis-channel-ids.ts';
import { redisChatSign, redisHeartbeat } from '../redis/heartbeat.ts';
import { redisHomeReaders } from '../redis/redis-home-readers.ts';
import { redisInstallations } from '../redis/redis-installations.ts';
import { copiesReady, redisReady } from '../redis/redis-ready.ts';
import { redisRecord } from '../redis/redis-record.ts';
import type { RecordClient } from '../redis/script.ts';
import { waitingPosts } from '../redis/waiting-posts.ts';
import { type BoltEdge, boltEdge, type Reach } from '../slack/bolt-app.ts';
import { slackPosts } from '../slack/posts.ts';
import { slackScreens } from '../slack/screens.ts';
import { slackPictures } from '../slack/share-file.ts';
import { slackUploads } from '../slack/strips.ts';
import { turnsOfThread } from '../threads/thread-turns.ts';
import { aside, coalesced } from './aside.ts';
import { behindReminders } from './behind-reminders.ts';
import { lastWordKeeper } from './last-word-keeper.ts';
import { serviceChecks } from './service-checks.ts';
import { type ChatPulse, chatLives, chatPulse, jobsWatch, reachable } from './signs-of-life.ts';
import { sweeping } from './sweeping.ts';
import { type ManyWorkspaces, workplaces } from './workplaces.ts';

/** What a process of the bot is put together from. */
export interface ServiceParts {
  roles: ReadonlySet<'chat' | 'jobs'>;
  /** A hurried one only on a practice ward. */
  clock: Clock | HurriedClock;
  /** Commands of the record; refuses at once while Redis is away. */
  redis: RecordClient;
  /** Waits for replicas before anybody is told that something is recorded; absent where there are none. */
  copies?: Copies;
  /** Where Redis is, for threads that read it themselves. */
  redisTarget: RedisTarget;
  alarm: Alarm;
  slack: {
    apiUrl: string;
    reach: Reach;
    /** The token of one workspace, or how the app is installed in many. */
    serves: { botToken: string } | ManyWorkspaces;
  };
  command: string;
  wardZone: string;
  /** Real ms between two messages of one channel; the platform's own limit unless told. */
  laneGapMs?: number;
  log: Log;
  metrics: Metrics;
  /** Makes audits; in a thread of their own unless told. */
  audits?: Audits;
  /** Makes what a handover brings with it; null: it brings none. Made in threads of their own unless told. */
  handoverFiles?: HandoverFiles | null;
  /** Starts the workers of the jobs role on these use cases. */
  startWorkers: (cases: JobCases) => Promise<{ close(): Promise<void> }>;
}

export interface Service {
  record: WardRecord;
  cases: JobCases;
  /** The earliest instant at which anything will come due by itself, ward ms; null when nothing will. */
  nextEventAt(): Promise<number | null>;
  checks: Record<string, ReadinessCheck>;
  /** Resolves when nothing that a sweep began beside itself is running. */
  idle(): Promise<void>;
  /** A ward was emptied on purpose: what was seen of it is no loss. */
  emptied(wardId: string): void;
  /** Stops taking, finishes what runs, then lets go. */
  stop(): Promise<void>;
}

/** How long a stop waits for listeners that still work, ms. */
const stopPatienceMs = 5_000;
/** Homes are brought up to date at most this often, real ms. */
const homesEveryMs = 2_000;

/** Puts the bot together and starts it. Resolves when it takes commands (chat) and wakes wards (jobs). */
export async function startService(parts: ServiceParts): Promise<Service> {
  const { clock, redis, alarm, slack, log, metrics, roles } = parts;
  const watch = operatorWatch(metrics, log);
  const stored = redisRecord({
    client: redis,
    defaultPolicy: defaultPolicy(parts.wardZone),
    ...(parts.laneGapMs === undefined ? {} : { laneGapMs: parts.laneGapMs }),
    ...(parts.copies ? { copies: parts.copies } : {}),
  });
  const growing = unshrinkingRecord(
    stored,
    (loss) => tellLoss({ record: stored, clock, watch }, loss),
    (wardId) => void alarm.postsWaiting(wardId),
  );
  const record = animalsRecord(growing);
  metrics.askOutboxDepth(() => waitingPosts(redis).catch(() => Number.NaN));
  const realNow = () => Date.now();
  const pace = threadPace(turnsOfThread);
  // What people tell and ask goes ahead of all that the jobs do in the same thread.
  const chatRecord = aheadOf(pace, record);
  keepTogether(record, chatRecord);
  const logger = libraryLog(log, 'slack');
  const beside = new Set<Promise<void>>();
  const goOn = (work: Promise<void>) => {
    beside.add(work);
    void work.finally(() => beside.delete(work));
  };
  const audits =
    parts.audits ??
    workerAudits({
      target: parts.redisTarget,
      wardZone: parts.wardZone,
      realNow,
      trouble: (...told) => watch.trouble(...told),
    });
  const heartbeat = redisHeartbeat(redis);
  const chatSign = redisChatSign(redis);
  let pulse: ChatPulse | null = null;
  const sinceMs = realNow();
  const jobs = jobsWatch(heartbeat, realNow);
  const warning = async () => {
    const said = [await jobs.warning(), (await parts.copies?.stillMissingSince()) ? oneServerWords : null];
    const words = said.filter((one) => one !== null);
    return words.length === 0 ? null : words.join(' ');
  };
  const ids = channelIds(redisChannelIds(redis, parts.copies), realNow);
  const places = await workplaces(
    {
      apiUrl: slack.apiUrl,
      channelIds: ids,
      audits,
      handoverFiles:
        parts.handoverFiles === undefined ? { picture: shiftPicture, paper: makePaper } : parts.handoverFiles,
      command: parts.command,
      clock,
      realNow,
      watch,
      warning,
      logger,
    },
    {
      serves: slack.serves,
      shelf: redisInstallations(redis, parts.copies),
      record,
      readers: redisHomeReaders(redis),
      goOn,
      changed: (wardId) => lookAtChannel(jobDeps, wardId),
    },
  );
  const lastWords = lastWordKeeper({ record, clock, watch, realNow }, places.lastWord, redis);
  const deps: AppDeps = {
    record,
    alarm,
    clock,
    watch,
    newId: () => randomBytes(5).toString('hex'),
    firstLineIn: (wardId) => goOn(lastWords.arm(wardId)),
  };
  const behind = behindReminders(() => jobDeps, goOn);
  const jobDeps: JobDeps = {
    ...deps,
    messenger: places.messenger,
    realNow,
    aside: goOn,
    pace,
    behind,
    // A line that came back by other ways than being placed, and one whose chat process died just then.
    cardStands: (wardId) => goOn(lastWords.armOnce(wardId)),
  };
  const auditMonthly = auditMonths({
    ...jobDeps,
    audits,
    pagesOf: (audit, { lead, shifts }) => ({
      ward: wardReportPages(audit),
      lead: lead === null ? 0 : personalReportPages(audit, { user: lead, lead }, shifts.zone),
    }),
  });
  const cases: JobCases = {
    wakeWard: (wardId) => wakeInTurn(jobDeps, wardId),
    deliverPosts: async (wardId) => {
      await deliverPosts(jobDeps, wardId);
      keepHomes.start();
    },
    sweepWards: async (sweep) => {
      await noticeDowntime(jobDeps, heartbeat);
      await pulse?.beat();
      await noticeCommandsLost(jobDeps, chatSign, { sinceMs }).catch((cause: unknown) =>
        watch.trouble('the chat’s sign of life could not be looked at', {}, cause),
      );
      await sweeps.sweep(sweep);
      // What waits for the chat platform waits beside the sweep: one that hangs must not stop the sign of life.
      deliverAll.start();
      keepHomes.start();
      keepLastWord.start();
      monthlyAudits.start();
    },
  };
  const sweeps = sweeping(jobDeps, {
    redis,
    heartbeat,
    beats: roles.has('jobs'),
    rate: () => ('rate' in clock ? clock.rate() : 1),
  });
  const failed = (cause: unknown) => watch.trouble('a sweep could not send', {}, cause);
  const keepHomes = coalesced(
    () => places.refreshHomes(),
    homesEveryMs,
    (cause) => watch.trouble('Homes could not be brought up to date', {}, cause),
  );
  const keepLastWord = aside(() => lastWords.pushDue(), failed);
  const deliverAll = aside(() => deliverEverywhere(jobDeps), failed);
  const monthlyAudits = aside(auditMonthly, (cause) =>
    watch.trouble('the audits of the month could not be looked at', {}, cause),
  );

  const idle = async () => {
    await Promise.all([
      deliverAll.done(),
      keepHomes.done(),
      keepLastWord.done(),
      monthlyAudits.done(),
      ...beside,
    ]);
  };

  // The first answer tells the platform's time; a chat asks who it is anyway.
  if (!roles.has('chat')) places.askTheTime();
  const workers = roles.has('jobs') ? await parts.startWorkers(cases) : null;
  let edge: BoltEdge | null = null;
  if (roles.has('chat')) {
    const shared = {
      command: parts.command,
      makeRecordFile,
      makePaper,
      audits,
      lookAtChannel: (wardId: string) => lookAtChannel(jobDeps, wardId),
      channelChanged: async (wardId: string) => {
        await lookAtChannel(jobDeps, wardId);
        await lastWords.arm(wardId);
      },
      warning,
    };
    edge = boltEdge(
      await places.atTheEdge((seen) => {
        const { at, client, token, wards, ...me } = seen;
        const own = wards === record ? chatRecord : aheadOf(pace, wards);
        keepTogether(record, own);
        return {
          ...shared,
          ...me,
          deps: { ...deps, record: own },
          client,
          screens: slackScreens(client, parts.command),
          posts: slackPosts(client, parts.command),
          names: at.names,
          people: at.people,
          membership: at.membership,
          homes: at.homes,
          strips: { fetch: slackUploads(client, token, slack.apiUrl), draw: stripPicture },
          sharePicture: slackPictures(client),
        };
      }, log),
      {
        reach: slack.reach,
        serves: places.edgeServes,
        slackApiUrl: slack.apiUrl,
        channelIds: ids,
        acked: (seconds) => metrics.ackSeconds.observe(seconds),
        trouble: (...told) => watch.trouble(...told),
        logger,
      },
    );
    // Where a ward is looked after, a refused connection must not keep its reminders from starting.
    await edge.start({ whateverItSays: workers !== null && (await record.wardIds()).length > 0 });
    const started = edge;
    pulse = chatPulse(chatSign, {
      takesCommands: () => started.unreachableSince() === null,
      now: () => ({ realMs: realNow(), wardMs: clock.now() }),
    });
  }

  return {
    record,
    cases,
    async nextEventAt() {
      const wakes = await Promise.all((await record.wardIds()).map((wardId) => record.nextWake(wardId)));
      const instants = wakes.filter((at) => at !== null);
      return instants.length === 0 ? null : Math.min(...instants);
    },
    checks: serviceChecks(places.client, places.serves, {
      redis: () => redisReady(redis),
      ...(parts.copies ? { copies: copiesReady(parts.copies) } : {}),
      jobs: jobs.check,
      ...(edge ? { socket: reachable(edge) } : { commands: chatLives(chatSign, realNow) }),
    }),
    idle,
    emptied: (wardId) => growing.forget(wardId),
    async stop() {
      pulse?.stop();
      await edge?.stop(stopPatienceMs);
      await workers?.close();
      for (const one of Object.values(behind)) one.stop();
      await sweeps.stop();
      const patience = new Promise<void>((resolve) => setTimeout(resolve, stopPatienceMs).unref());
      await Promise.race([
        idle()
          .then(() => lastWords.giveUp())
          .catch(() => undefined),
        patience,
      ]);
    },
  };
}
