import { animalsRecord } from '../app/animals-record.ts';
import { keepTogether } from '../app/handover-record.ts';
import { notifyLoss } from '../app/notify-loss.ts';
import { aheadOf, behindOf, type Pace, threadPace } from '../app/pace.ts';
import type { WardRecord, Watch } from '../app/ports.ts';
import { unshrinkingRecord } from '../app/unshrinking-record.ts';
import { defaultPolicy } from '../domain/policy/ward-policy.ts';
import { turnsOfThread } from '../event-loop/thread-turns.ts';
import { noTraces } from '../observe/traces.ts';
import { redisRecord } from '../redis/redis-record.ts';
import type { ServiceParts } from './service-parts.ts';

/** The record as the jobs and as the chat have it. */
export interface Records {
  record: WardRecord;
  pace: Pace;
  /** For what handovers take: what follows from each answer waits for its turn. */
  behind: WardRecord;
  /** `wards` ahead of all that the jobs do in the same thread: for what people say and ask. */
  forChat(wards: WardRecord): WardRecord;
  /** A ward was emptied on purpose: what was seen of it is no loss. */
  forget: (wardId: string) => void;
}

/** Opens the record: in Redis, with each loss told to the ward, and the lines of one animal beside each other. */
export function openRecords(
  { redis, wardZone, laneGapMs, copies, clock, alarm, traces = noTraces }: ServiceParts,
  watch: Watch,
): Records {
  const inRedis = redisRecord({
    client: redis,
    defaultPolicy: defaultPolicy(wardZone),
    ...(laneGapMs === undefined ? {} : { laneGapMs }),
    ...(copies ? { copies } : {}),
  });
  const stored: WardRecord = {
    ...inRedis,
    commit: (wardId, change) => traces.span('commit', { wardId }, () => inRedis.commit(wardId, change)),
  };
  const growing = unshrinkingRecord(
    stored,
    (loss) => notifyLoss({ record: stored, clock, watch }, loss),
    (wardId) => void alarm.postsWaiting(wardId),
  );
  const record = animalsRecord(growing);
  const pace = threadPace(turnsOfThread);
  const ahead = (wards: WardRecord) => {
    const own = aheadOf(pace, wards);
    keepTogether(record, own);
    return own;
  };
  const chatRecord = ahead(record);
  const behind = behindOf(pace, 'handover', record);
  keepTogether(record, behind);
  return {
    record,
    pace,
    behind,
    forChat: (wards) => (wards === record ? chatRecord : ahead(wards)),
    forget: (wardId) => growing.forget(wardId),
  };
}
