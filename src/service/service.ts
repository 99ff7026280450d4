import { randomBytes } from 'node:crypto';
import type { AppDeps, JobDeps } from '../app/app-deps.ts';
import type { Audits } from '../app/audits.ts';
import { channelIds } from '../app/channel-ids.ts';
import { type Clock, within } from '../app/clock.ts';
import type { WardRecord, Watch } from '../app/ports.ts';
import { lookAtChannel } from '../app/shut-channel.ts';
import { workerAudits } from '../audit/worker-audits.ts';
import { makePaper, shiftPicture } from '../files/files.ts';
import type { JobCases } from '../jobs/worker.ts';
import type { ReadinessCheck } from '../observe/health-routes.ts';
import { libraryLog } from '../observe/library-log.ts';
import { operatorWatch } from '../observe/operator-watch.ts';
import { noTraces } from '../observe/traces.ts';
import { redisChatSign, redisHeartbeat } from '../redis/heartbeat.ts';
import { redisChannelIds } from '../redis/redis-channel-ids.ts';
import { redisHomeReaders } from '../redis/redis-home-readers.ts';
import { redisInstallations } from '../redis/redis-installations.ts';
import { copiesReady, redisReady } from '../redis/redis-ready.ts';
import { waitingPosts } from '../redis/waiting-posts.ts';
import type { BoltEdge } from '../slack/edge/bolt-app.ts';
import { oneServerWords } from '../wording/notices/one-server.ts';
import { workBeside } from './aside.ts';
import { behindReminders } from './behind-reminders.ts';
import { chatEdge } from './chat-edge.ts';
import { handoversBeside } from './handovers-beside.ts';
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
  /** What is done behind all else. */
  behind: NonNullable<JobDeps['behind']>;
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
  const { clock, redis, roles } = parts;
  const shared = sharedParts(parts);
  const { watch, realNow, records, beside, audits, heartbeat, chatSign, channelIds } = shared;
  const { record } = records;
  const lookAt = (wardId: string) => lookAtChannel(jobDeps, wardId);
  const places = await placesOf(parts, shared, { record, goOn: beside.goOn, changed: lookAt });
  const lastWords = lastWordKeeper({ record, clock, watch, realNow }, places.lastWord, redis);
  const deps = appDepsOf(parts, shared, lastWords);
  const { behind, stop: stopBehind } = behindOf(parts, shared, () => jobDeps);
  const jobDeps = jobDepsOf(deps, shared, places, lastWords, behind);
  let chatSide: ChatSide | null = null;
  const beat = async () => chatSide?.pulse.beat();
  const work = jobWork(jobDeps, { audits, places, lastWords, heartbeat, chatSign, beat }, parts);
  const idle = async () => void (await Promise.all([work.idle(), beside.done()]));

  // The first answer tells the platform's time; a chat asks who it is anyway.
  if (!roles.has('chat')) places.askTheTime();
  const workers = roles.has('jobs') ? await parts.startWorkers(work.cases) : null;
  if (roles.has('chat')) {
    // The message that waits in the platform's scheduler may still be for the old id.
    const channelChanged = (wardId: string) => lookAt(wardId).then(() => lastWords.arm(wardId));
    const { logger, warning } = shared;
    const chat = {
      deps,
      records,
      places,
      audits,
      logger,
      warning,
      lookAtChannel: lookAt,
      channelIds,
      channelChanged,
    };
    // Where a ward is looked after, a refused connection must not keep its reminders from starting.
    const whateverItSays = workers !== null && (await record.wardIds()).length > 0;
    chatSide = await startChat(await chatEdge(parts, chat), chatSign, clock, whateverItSays);
  }
  return {
    record,
    cases: work.cases,
    behind,
    nextEventAt: () => nextWakeOf(record),
    checks: checksOf(parts, places, shared, chatSide),
    idle,
    emptied: records.forget,
    async stop() {
      chatSide?.pulse.stop();
      await chatSide?.edge.stop(stopPatienceMs);
      await workers?.close();
      await stopBehind(stopPatienceMs);
      await work.stop();
      const done = idle().then(() => lastWords.giveUp());
      await within(
        stopPatienceMs,
        done.catch(() => undefined),
      );
    },
  };
}

/** What every part of a process stands on. */
function sharedParts(parts: ServiceParts) {
  const { redis, copies, log, metrics } = parts;
  const watch = parts.watch ?? operatorWatch(metrics, log);
  const realNow = () => Date.now();
  metrics.askOutboxDepth(() => waitingPosts(redis).catch(() => Number.NaN));
  const heartbeat = redisHeartbeat(redis);
  const jobs = jobsWatch(heartbeat, realNow);
  return {
    watch,
    realNow,
    records: openRecords(parts, watch),
    beside: workBeside(),
    audits: parts.audits ?? threadedAudits(parts, watch),
    logger: libraryLog(log, 'slack'),
    heartbeat,
    chatSign: redisChatSign(redis),
    jobs,
    warning: warningOf([
      jobs.warning,
      async () => ((await copies?.stillMissingSince()) ? oneServerWords : null),
    ]),
    channelIds: channelIds(redisChannelIds(redis, copies), realNow),
  };
}

type SharedParts = ReturnType<typeof sharedParts>;

/** What the use cases need from outside. */
function appDepsOf(
  { alarm, clock }: ServiceParts,
  { records, watch, beside }: SharedParts,
  lastWords: ReturnType<typeof lastWordKeeper>,
): AppDeps {
  return {
    record: records.record,
    alarm,
    clock,
    watch,
    newId: () => randomBytes(5).toString('hex'),
    firstLineIn: (wardId) => beside.goOn(lastWords.arm(wardId)),
  };
}

/** The chat's edge, listening, and the sign of life that says so. */
interface ChatSide {
  edge: BoltEdge;
  pulse: ChatPulse;
}

async function startChat(
  edge: BoltEdge,
  chatSign: ReturnType<typeof redisChatSign>,
  clock: Clock,
  whateverItSays: boolean,
): Promise<ChatSide> {
  await edge.start({ whateverItSays });
  const pulse = chatPulse(chatSign, {
    takesCommands: () => edge.unreachableSince() === null,
    now: () => ({ realMs: Date.now(), wardMs: clock.now() }),
  });
  return { edge, pulse };
}

/** What is done behind all else: here, or in a process of its own. */
function behindOf(
  parts: ServiceParts,
  { beside, records, watch, realNow }: SharedParts,
  jobs: () => JobDeps,
): ReturnType<typeof handoversBeside> {
  const { traces = noTraces, behindOver: over } = parts;
  const here = behindReminders(jobs, {
    begun: beside.goOn,
    record: records.behind,
    traces,
    ...(over ? { over } : {}),
  });
  return handoversBeside(here, parts, { watch, realNow });
}

/** What the jobs need besides. */
function jobDepsOf(
  deps: AppDeps,
  { records, realNow, beside }: SharedParts,
  { messenger }: Workplaces,
  lastWords: ReturnType<typeof lastWordKeeper>,
  behind: NonNullable<JobDeps['behind']>,
): JobDeps {
  return {
    ...deps,
    messenger,
    realNow,
    aside: beside.goOn,
    pace: records.pace,
    behind,
    // A line that came back by other ways than being placed, and one whose chat process died just then.
    cardStands: (wardId) => beside.goOn(lastWords.armOnce(wardId)),
  };
}

/** What says whether this process is ready. */
function checksOf(
  { redis, copies }: ServiceParts,
  { client, serves }: Workplaces,
  { jobs, chatSign, realNow }: SharedParts,
  chatSide: ChatSide | null,
): Record<string, ReadinessCheck> {
  return serviceChecks(client, serves, {
    redis: () => redisReady(redis),
    ...(copies ? { copies: copiesReady(copies) } : {}),
    jobs: jobs.check,
    ...(chatSide ? { socket: reachable(chatSide.edge) } : { commands: chatLives(chatSign, realNow) }),
  });
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
