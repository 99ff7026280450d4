import { randomBytes } from 'node:crypto';
import type { AppDeps, JobDeps } from '../app/app-deps.ts';
import type { Audits } from '../app/audits.ts';
import { channelIds } from '../app/channel-ids.ts';
import type { WardRecord, Watch } from '../app/ports.ts';
import { lookAtChannel } from '../app/shut-channel.ts';
import { workerAudits } from '../audit/worker-audits.ts';
import { oneServerWords } from '../chat/wording/one-server.ts';
import type { JobCases } from '../jobs/worker.ts';
import type { ReadinessCheck } from '../observe/health-routes.ts';
import { libraryLog } from '../observe/library-log.ts';
import { operatorWatch } from '../observe/operator-watch.ts';
import { noTraces } from '../observe/traces.ts';
import { makePaper } from '../paper/make-paper.ts';
import { shiftPicture } from '../pictures/shift-picture.ts';
import { redisChatSign, redisHeartbeat } from '../redis/heartbeat.ts';
import { redisChannelIds } from '../redis/redis-channel-ids.ts';
import { redisHomeReaders } from '../redis/redis-home-readers.ts';
import { redisInstallations } from '../redis/redis-installations.ts';
import { copiesReady, redisReady } from '../redis/redis-ready.ts';
import { waitingPosts } from '../redis/waiting-posts.ts';
import { workBeside } from './aside.ts';
import { behindReminders } from './behind-reminders.ts';
import { chatEdge } from './chat-edge.ts';
import { jobWork } from './job-work.ts';
import { lastWordKeeper } from './last-word-keeper.ts';
import { openRecords } from './open-records.ts';
import { serviceChecks } from './service-checks.ts';
import type { ServiceParts } from './service-parts.ts';
import { type ChatPulse, chatLives, chatPulse, jobsWatch, reachable } from './signs-of-life.ts';
import type { WorkplaceParts } from './workplace.ts';
import { type Workplaces, type WorkplacesParts, workplaces } from './workplaces.ts';

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

/** Puts the bot together and starts it. Resolves when it takes commands (chat) and wakes wards (jobs). */
export async function startService(parts: ServiceParts): Promise<Service> {
  const { clock, redis, alarm, log, metrics, roles, traces = noTraces } = parts;
  const watch = operatorWatch(metrics, log);
  const realNow = () => Date.now();
  const records = openRecords(parts, watch);
  const { record, pace } = records;
  metrics.askOutboxDepth(() => waitingPosts(redis).catch(() => Number.NaN));
  const logger = libraryLog(log, 'slack');
  const beside = workBeside();
  const audits = parts.audits ?? threadedAudits(parts, watch);
  const heartbeat = redisHeartbeat(redis);
  const chatSign = redisChatSign(redis);
  const jobs = jobsWatch(heartbeat, realNow);
  const warning = warningOf([
    jobs.warning,
    async () => ((await parts.copies?.stillMissingSince()) ? oneServerWords : null),
  ]);
  const lookAt = (wardId: string) => lookAtChannel(jobDeps, wardId);
  const ids = channelIds(redisChannelIds(redis, parts.copies), realNow);
  const places = await placesOf(
    parts,
    { audits, realNow, watch, warning, logger, channelIds: ids },
    {
      record,
      goOn: beside.goOn,
      changed: lookAt,
    },
  );
  const lastWords = lastWordKeeper({ record, clock, watch, realNow }, places.lastWord, redis);
  const deps: AppDeps = {
    record,
    alarm,
    clock,
    watch,
    newId: () => randomBytes(5).toString('hex'),
    firstLineIn: (wardId) => beside.goOn(lastWords.arm(wardId)),
  };
  const behind = behindReminders(() => jobDeps, { begun: beside.goOn, record: records.behind, traces });
  const jobDeps: JobDeps = {
    ...deps,
    messenger: places.messenger,
    realNow,
    aside: beside.goOn,
    pace,
    behind,
    // A line that came back by other ways than being placed, and one whose chat process died just then.
    cardStands: (wardId) => beside.goOn(lastWords.armOnce(wardId)),
  };
  let pulse: ChatPulse | null = null;
  const beat = async () => pulse?.beat();
  const work = jobWork(jobDeps, { audits, places, lastWords, heartbeat, chatSign, beat }, parts);
  const idle = async () => void (await Promise.all([work.idle(), beside.done()]));

  // The first answer tells the platform's time; a chat asks who it is anyway.
  if (!roles.has('chat')) places.askTheTime();
  const workers = roles.has('jobs') ? await parts.startWorkers(work.cases) : null;
  const chat = {
    deps,
    records,
    places,
    audits,
    logger,
    warning,
    lookAtChannel: lookAt,
    channelIds: ids,
    // The message that waits in the platform's scheduler may still be for the old id.
    channelChanged: (wardId: string) => lookAt(wardId).then(() => lastWords.arm(wardId)),
  };
  const edge = roles.has('chat') ? await chatEdge(parts, chat) : null;
  if (edge) {
    // Where a ward is looked after, a refused connection must not keep its reminders from starting.
    await edge.start({ whateverItSays: workers !== null && (await record.wardIds()).length > 0 });
    pulse = chatPulse(chatSign, {
      takesCommands: () => edge.unreachableSince() === null,
      now: () => ({ realMs: realNow(), wardMs: clock.now() }),
    });
  }
  return {
    record,
    cases: work.cases,
    nextEventAt: () => nextWakeOf(record),
    checks: serviceChecks(places.client, places.serves, {
      redis: () => redisReady(redis),
      ...(parts.copies ? { copies: copiesReady(parts.copies) } : {}),
      jobs: jobs.check,
      ...(edge ? { socket: reachable(edge) } : { commands: chatLives(chatSign, realNow) }),
    }),
    idle,
    emptied: records.forget,
    async stop() {
      pulse?.stop();
      await edge?.stop(stopPatienceMs);
      await workers?.close();
      for (const one of Object.values(behind)) one.stop();
      await work.stop();
      const patience = new Promise<void>((resolve) => setTimeout(resolve, stopPatienceMs).unref());
      const done = idle().then(() => lastWords.giveUp());
      await Promise.race([done.catch(() => undefined), patience]);
    },
  };
}

/** The chat platform as these settings have it. */
function placesOf(
  { clock, redis, copies, slack, command, traces = noTraces, ...parts }: ServiceParts,
  shared: Pick<WorkplaceParts, 'audits' | 'realNow' | 'watch' | 'warning' | 'logger' | 'channelIds'>,
  own: Pick<WorkplacesParts, 'record' | 'goOn' | 'changed'>,
): Promise<Workplaces> {
  const { handoverFiles = { picture: shiftPicture, paper: makePaper } } = parts;
  return workplaces(
    { ...shared, apiUrl: slack.apiUrl, handoverFiles, command, clock, traces },
    {
      ...own,
      serves: slack.serves,
      shelf: redisInstallations(redis, copies),
      readers: redisHomeReaders(redis),
    },
  );
}

/** Audits in a thread of their own. */
function threadedAudits({ redisTarget, wardZone }: ServiceParts, watch: Watch): Audits {
  return workerAudits({
    target: redisTarget,
    wardZone,
    realNow: () => Date.now(),
    trouble: (...told) => watch.trouble(...told),
  });
}

/** What every answer must say first, of all that may have to be said; null where nothing has. */
function warningOf(each: readonly (() => Promise<string | null>)[]): () => Promise<string | null> {
  return async () => {
    const said = await Promise.all(each.map((ask) => ask()));
    const words = said.filter((one) => one !== null);
    return words.length === 0 ? null : words.join(' ');
  };
}

async function nextWakeOf(record: WardRecord): Promise<number | null> {
  const wakes = await Promise.all((await record.wardIds()).map((wardId) => record.nextWake(wardId)));
  const instants = wakes.filter((at) => at !== null);
  return instants.length === 0 ? null : Math.min(...instants);
}
