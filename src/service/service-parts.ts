import type { PartBehind } from '../app/app-deps.ts';
import type { Audits } from '../app/audits.ts';
import type { Clock, HurriedClock } from '../app/clock.ts';
import type { Alarm, Watch } from '../app/ports.ts';
import type { HandoverFiles } from '../chat/messages/handover-files.ts';
import type { JobCases } from '../jobs/worker.ts';
import type { Log } from '../observe/log.ts';
import type { Metrics } from '../observe/metrics.ts';
import type { Traces } from '../observe/traces.ts';
import type { RedisTarget } from '../redis/connections.ts';
import type { Copies } from '../redis/copies.ts';
import type { RecordClient } from '../redis/script.ts';
import type { Reach } from '../slack/edge/bolt-app.ts';
import type { HandoverProcess } from './handovers-beside.ts';
import type { ManyWorkspaces } from './workplaces.ts';

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
  /** Real ms between two messages of one channel; the platform's own limit unless given. */
  laneGapMs?: number;
  log: Log;
  metrics: Metrics;
  /** Where the time goes, told to whoever collects it; to nobody unless given. */
  traces?: Traces;
  /** Makes audits; in a thread of their own unless given. */
  audits?: Audits;
  /** Makes what a handover brings with it; null: it brings none. Made in a process of their own unless given. */
  handoverFiles?: HandoverFiles | null;
  /** How a process is started that hands over where many wards do at once; absent: all of it is done in this one. */
  handoverProcess?: HandoverProcess;
  /** Hears of a ward once nothing is left of what was asked of a part that is done behind all else. */
  behindOver?: (part: PartBehind, wardId: string) => void;
  /** Told of the work by the use cases; counts it in `metrics` and writes to `log` unless given. */
  watch?: Watch;
  /** Starts the workers of the jobs role on these use cases. */
  startWorkers: (cases: JobCases) => Promise<{ close(): Promise<void> }>;
}
