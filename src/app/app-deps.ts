import type { Clock } from './clock.ts';
import type { FewAtOnce } from './few-at-once.ts';
import type { Pace } from './pace.ts';
import type { Alarm, Messenger, OutboxPart, WardRecord, Watch } from './ports.ts';

/** What use cases that write the record need from outside. */
export interface AppDeps {
  record: WardRecord;
  alarm: Alarm;
  clock: Clock;
  watch: Watch;
  /** A new id, unique in a ward: letters and digits. */
  newId: () => string;
  /** Hears of a ward whose first line is in; nobody waits for what it does. */
  firstLineIn?: (wardId: string) => void;
}

/** Jobs also speak to the chat platform, which lives in real time (ms). */
export interface JobDeps extends AppDeps {
  messenger: Messenger;
  /** Hears of work that runs beside a delivery, so that an end can wait for it. */
  aside?: (work: Promise<void>) => void;
  /** Hears of a ward on which a card was posted or brought up to date; nobody waits for what it does. */
  cardStands?: (wardId: string) => void;
  realNow: () => number;
  /** Shares the thread out; absent where there is nobody to share it with. */
  pace?: Pace;
  /**
   * Wakes wards that owe nothing but something of their own calendar, and sends handovers and their files, few at once and behind all
   * else; absent: each is done where it is found.
   */
  behind?: Record<PartBehind, FewAtOnce>;
}

/** What is done behind all else: looking at what wards owe of their own calendars, sending handovers, and sending their files. */
export type PartBehind = 'calendars' | Exclude<OutboxPart, 'reminders'>;
