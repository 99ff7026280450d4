import type { DutyKind } from '../duty-kind.ts';
import type { FaultSign } from '../fault/fault-questions.ts';
import type { FaultStep } from '../fault/next-question.ts';
import type { Gauge, Side, Site } from '../line/anatomy.ts';
import type { Patient } from '../patient/patient.ts';
import type { Screening } from '../placing/screening.ts';
import type { TargetsSet } from '../reading/targets.ts';
import type { EntryKind, EntryOf, FlushSource, SiteFinding } from './entry.ts';
import { type AwayPlace, type AwaySpell, type CappedSpell } from './spells.ts';

/** When something last happened and who recorded it. */
export interface Done {
  at: number;
  by: string;
  /** Number of the entry in the line's log, from 1. */
  entry: number;
}

/** Something that made a duty due at once. */
export interface Cause {
  at: number;
  /** Number of the entry that made it so. */
  entry: number;
  why:
    | 'placed'
    | 'disturbed'
    | 'redressed'
    | 'sampled'
    | 'fault closed'
    | 'soiled'
    | 'flush mode'
    | 'source changed'
    | 'joined'
    | 'capped'
    | 'left'
    | 'arrived'
    | 'returned';
}

/** Words about a duty: for which due time, when, and the number of the entry that holds them. */
export interface Words {
  dueAt: number;
  at: number;
  entry: number;
}

/**
 * What one reader was told, and how often in a message of its own that could be answered before the next. `joins`: the message it
 * was added to was made then; `countedAt`: the latest that counts was; both ms.
 */
export type Notified = Words & { user?: string; joins?: number; times?: number; countedAt?: number };

/** What was said last about one duty kind: told to whom and when, put off, claimed, let go. */
export interface Marks {
  nudged?: Words;
  nurse?: Notified;
  lead?: Notified;
  clinician?: Notified;
  backup?: Notified;
  snoozed?: Words & { until: number; by: string };
  claimed?: Words & { until: number; by: string };
  cannot?: Words & { by: string; reason: string };
  waived?: Words & { by: string; reason: string; until: number };
}

/** Something wrong with the trace, and what was looked at so far; open where `closedAt` is null. */
export interface Fault extends Done {
  sign: FaultSign;
  steps: FaultStep[];
  /** The latest word on it, by the number of its entry: its opening or a step. `told`: when that was recorded, ms. */
  latest: { told: number; entry: number };
  closedAt: number | null;
  resolved: boolean;
}

/** An alarming pulse check; `before`: what the check before it found, where that is what makes it news. */
export type LimbFound = EntryOf<'pulseChecked'>['body'] & {
  before?: EntryOf<'pulseChecked'>['body']['pulse'];
};

/**
 * A patient off the ward: where, since when (`at`, ms), with whom where somebody was named, and when it arrived there, where
 * that was recorded. `from`: since when it has been off the ward, ms.
 */
export interface Away extends Done {
  from: number;
  to: AwayPlace;
  with: string | null;
  arrivedAt: number | null;
}

/**
 * A flush by hand, one after a sample included. `volumeMl`: null where none was recorded. `heparinUPerMl`: in the flush then;
 * null where nobody recorded.
 */
export interface HandFlush extends Done {
  volumeMl: number | null;
  heparinUPerMl: number | null;
}

/** Blood that left the animal by the line at one time (`at`, ms): a sample with its discard, in mL. */
export interface Sampling {
  at: number;
  by: string;
  volumeMl: number;
  discardMl: number;
  discardReturned: boolean;
  /** It was no sample: the line came apart and bled, `volumeMl` as near as somebody could guess. */
  isSpilt?: true;
}

/** The latest pressures, with what stood behind them then and what came to light since: their trust is derived from it. */
export type Reading = EntryOf<'reading'>['body'] & {
  at: number;
  told: number;
  by: string;
  /** Number of its entry. */
  entry: number;
  /** When the line was last zeroed before it, ms; null when never. */
  zeroedAt: number | null;
  /** What asked for a zero that was not done yet, when there was something. */
  unzeroed: Cause | null;
  /** What moved the transducer or the patient since it was levelled last, when something had. */
  unlevelled: Cause | null;
  test: LineState['test'];
  /** The first zero after it: what the monitor showed open to air, mmHg, where that was recorded. */
  zeroAfter?: { at: number; openToAirMmHg: number | null };
  /** The first levelling after it. */
  levelAfter?: { at: number; belowHeartCm: number };
  /** The first test after it that could be judged, of the line as it was when it was read: no new set, no fault between. */
  testAfter?: NonNullable<LineState['test']>;
};

/**
 * Everything that is known of one line now: the fold of its log. Never stored as truth; a stored copy is a cache.
 * All instants are ms since the epoch.
 */
export interface LineState {
  id: string;
  /** Number of entries folded in. */
  version: number;
  /** Time of the latest thing that happened; an entry before it is late and needs the whole log. */
  latestAt: number;
  placed: Done;
  /** That it was registered in error: there is no such line. `at`: when that was recorded, ms. Null of every other line. */
  inError: (Done & { reason: string }) | null;
  /** When something recorded of it was last put right or struck out, ms; null where nothing was. */
  amendedAt: number | null;
  /** When the line was registered: what came due before nobody could be reminded of. */
  knownSince: number;
  patient: Patient;
  /** When what is known of the patient was recorded last, ms: at registering, or put right since. */
  patientRecordedAt: number;
  /** Which animal it was recorded to be; null where nobody was asked. */
  recordedAnimal: string | null;
  site: Site;
  side: Side | null;
  gauge: Gauge;
  indication: string | null;
  /** Who placed it, where that was recorded. */
  operator: string | null;
  /** Theirs at this artery, including the successful one; null where not recorded. */
  tries: number | null;
  /** What was looked at before it was placed; null where nobody said that anything was. */
  screening: Screening | null;
  nurse: string;
  nurseSince: number;
  /** Whom the line was given to for a shift, by the shift's start (`from`, ms): the latest three. `told`, ms. */
  plannedNurses: { nurse: string; from: number; told: number }[];
  flushMode: 'manual' | 'continuous';
  flushModeSince: number;
  /** What feeds the line, and its volume and rate as of `asOf`. */
  source: (FlushSource & { asOf: number }) | null;
  setSince: number;
  /** Times without a transducer, the latest five, oldest first. */
  cappedSpells: CappedSpell[];
  /** How the line was flushed when it was capped, with what its source held then: what it is joined to again. */
  setAside: { flushMode: 'manual' | 'continuous'; source: FlushSource | null } | null;
  away: Away | null;
  /** Times off the ward, the latest five, oldest first. */
  awaySpells: AwaySpell[];
  last: Partial<Record<EntryKind, Done>>;
  /** By kind of duty, what did it lately, in the order it happened; `told`: when it was recorded, ms. See `doneSince`. */
  recent: Partial<Record<DutyKind, (Done & { told: number })[]>>;
  level: { belowHeartCm: number; at: number } | null;
  openToAir: { mmHg: number; at: number } | null;
  test: (EntryOf<'fastFlushTested'>['body'] & { at: number }) | null;
  reading: Reading | null;
  /** The latest targets a clinician set, whether they hold still or not: see `targetsInForce`. */
  targets: TargetsSet | null;
  siteFinding: { finding: SiteFinding; at: number; by: string } | null;
  /**
   * The alarming signs nobody has found gone since, with when and by whom the latest was seen. `told`: when it was recorded, or
   * made worse by an amendment, ms.
   */
  finding: (Done & { told: number; site: SiteFinding; limb: LimbFound | null }) | null;
  /** The catheter came out not whole and the missing piece was not found. `told`: when that was recorded, ms. */
  tipMissing: (Done & { told: number }) | null;
  /** The look that found the latest alarming finding gone. */
  findingGone: (Done & { told: number }) | null;
  pulse: (EntryOf<'pulseChecked'>['body'] & { at: number; by: string }) | null;
  /** Last look at the site: a check, or a redress that recorded what was seen. */
  siteSeen: Done;
  /** Last time the line was flushed: by hand, after a sample, at placing. */
  flushed: Done;
  /** First cause since the duty was last done, for duties that an event makes due. */
  zeroCause: Cause | null;
  testCause: Cause | null;
  /** What moved the transducer or the patient since it was levelled last. */
  levelCause: Cause | null;
  flushCause: Cause | null;
  siteCause: Cause | null;
  redressCause: Cause | null;
  /** Blood that left the animal by the line in the last 24 h before the latest entry: samples, and what was spilt. */
  samples: Sampling[];
  /** Blood that left by this line since it was placed, mL: samples, and discards that were not given back. */
  lostMl: number;
  /** Flushes by hand of the last 24 h before the latest entry, in the order they happened. */
  handFlushes: HandFlush[];
  /** Millilitres given by hand flushes since placing, where a volume was recorded. */
  flushedMl: number;
  /** Hand flushes recorded since placing, a flush after a sample included; and those of them without a volume. */
  flushCount: number;
  flushesWithoutVolume: number;
  /** The latest five faults and every open one, oldest first. */
  faults: Fault[];
  /** The latest fault that was closed not resolved and none resolved since. `told`: when that was recorded, ms. */
  faultLeft: (Done & { told: number; sign: FaultSign; steps: FaultStep[] }) | null;
  /** The close that resolved what had been left. */
  faultLeftResolved: (Done & { told: number }) | null;
  removed: (EntryOf<'removed'>['body'] & { at: number; told: number; by: string }) | null;
  /** Pulse checks since removal, oldest first. */
  pulsesAfterRemoval: Done[];
  /** Since when the puncture is held; anew when it still oozed. */
  holdFrom: number | null;
  /** When it was recorded that the puncture still oozed after the hold, ms; null where nobody said so. */
  heldAgainRecordedAt: number | null;
  holdEnded: Done | null;
  marks: Partial<Record<DutyKind, Marks>>;
  notes: { text: string; at: number; by: string }[];
  /** What the animal's other lines say; put in when a ward is read, never stored. Absent where it has no other line. */
  animal?: OtherLines;
}

/** The animal's other lines in this stay, also those that are out, each as its own log has it. */
export interface OtherLines {
  id: string;
  others: LineState[];
  /** What this line's own log says of what counts for the whole animal. */
  own: Pick<LineState, 'patient' | 'patientRecordedAt' | 'screening' | 'targets'>;
}
