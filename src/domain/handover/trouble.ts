import type { TimedDutyKind } from '../audit/duty-outcomes.ts';
import type { DutyKind } from '../duty-kind.ts';
import type { Caution } from '../placing/screening.ts';
import type { BeyondLimit } from '../reading/beyond-limits.ts';
import type { TargetsSet } from '../reading/targets.ts';
import type { SiteFinding } from '../record/entry.ts';
import type { Fault, LimbFound, Marks, Reading } from '../record/line-state.ts';
import type { FailureReason } from '../record/removal-reasons.ts';

/**
 * Something that went wrong with a line in the shift that is handed over, or will want somebody in the shift that comes.
 * All instants are ms since the epoch.
 */
export type Trouble =
  /** Seen at the site or the limb, from `at` on; `clearAt`: when a look found nothing amiss any more, null where none did. */
  | { what: 'finding'; at: number; site: SiteFinding; limb: LimbFound | null; clearAt: number | null }
  /** A catheter that came out not whole, and a piece that nobody has found. */
  | { what: 'piece missing'; at: number }
  /**
   * Pressures beyond the line's targets or the ward's limits: the worst reading of the shift, how many there were, and the
   * latest reading, where that lies within them again.
   */
  | { what: 'pressure'; at: number; beyond: BeyondLimit[]; times: number; within: Reading | null }
  /** A fault of the trace; `left`: closed without being solved, and not solved since. */
  | { what: 'fault'; fault: Fault; left: boolean; others: number }
  /** Care past its grace: open still, done late, or never done (`doneAt` null and not open). `times`: how often in the shift. */
  | {
      what: 'late';
      kind: TimedDutyKind;
      dueAt: number;
      doneAt: number | null;
      isOpen: boolean;
      lateByMs: number;
      times: number;
      /** Of the same kind and on time, after the last that was late. */
      onTimeSince: number;
      /** Why the nurse could not, where that was recorded and it is open still. */
      cannot: string | null;
    }
  /** A puncture that nobody looked at when its hold was over, past the nurse's grace. */
  | { what: 'hold late'; dueAt: number }
  /** A cat's dwell limit that has passed, or that ends in the coming shift. */
  | { what: 'dwell'; limitAt: number; hasPassed: boolean }
  /** The line came out before it was to. */
  | { what: 'lost'; at: number; reason: FailureReason }
  /** Blood lost by the line: spilt in the shift (mL, where somebody guessed), and more in 24 h than the ward's limit (%). */
  | { what: 'blood'; spiltMl: number; percent: number; isMuch: boolean }
  | { what: 'waiver ends'; kind: DutyKind; waived: NonNullable<Marks['waived']> }
  | { what: 'targets end'; targets: TargetsSet }
  | { what: 'caution'; cautions: Caution[] };

/** Care whose lateness clots or empties the line, as against care that leaves a number unproved or a site unseen. */
const keepsLineOpen: ReadonlySet<TimedDutyKind> = new Set(['flush', 'runOut', 'source']);

/**
 * The order of *Watch*, gravest first, and why. What stands now comes before what is over; what can cost a limb or a life
 * comes before what costs the line, and that before what costs a number. No source: it is the order in which a ward in
 * charge would want to hear it, and the order of the messages that wake a clinician.
 */
const order = [
  /** Swelling, a cold limb, no pulse, a piece in the artery: a limb is lost in hours. */
  'finding open',
  /** The patient, not the line: organs without enough blood, or bleeding. */
  'pressure beyond now',
  /** A cat past her limit: an arterial clot grows unseen. */
  'dwell passed',
  /** No pressures, and a clot as the likely cause. */
  'fault open',
  /** It may bleed under the bandage. */
  'puncture not seen',
  /** A clot within the hour. */
  'line not kept open',
  /** It was there once and comes back: the incoming nurse looks for it first. */
  'finding clear',
  'pressure back within',
  'blood',
  /** The limit ends while the reader is on. */
  'dwell ends',
  /** The limb is followed up; nothing to save of the line. */
  'lost',
  'care not done',
  'fault solved',
  'line was not kept open',
  /** What a clinician decided, and what must be decided anew. */
  'waiver ends',
  'targets end',
  'care was late',
  /** True all the time, and on the card. */
  'caution',
] as const;
type Grade = (typeof order)[number];

function gradeOf(trouble: Trouble): Grade {
  switch (trouble.what) {
    case 'finding':
      return trouble.clearAt === null ? 'finding open' : 'finding clear';
    case 'piece missing':
      return 'finding open';
    case 'pressure':
      return trouble.within === null ? 'pressure beyond now' : 'pressure back within';
    case 'fault':
      return trouble.left || trouble.fault.closedAt === null ? 'fault open' : 'fault solved';
    case 'late': {
      const { isOpen } = trouble;
      if (keepsLineOpen.has(trouble.kind)) return isOpen ? 'line not kept open' : 'line was not kept open';
      return isOpen ? 'care not done' : 'care was late';
    }
    case 'hold late':
      return 'puncture not seen';
    case 'dwell':
      return trouble.hasPassed ? 'dwell passed' : 'dwell ends';
    case 'lost':
    case 'blood':
    case 'waiver ends':
    case 'targets end':
    case 'caution':
      return trouble.what;
  }
}

/** How grave a trouble is: 0 is the gravest. */
export function gravityOf(trouble: Trouble): number {
  return order.indexOf(gradeOf(trouble));
}

/** Within one grade: later minutes weigh more, and what ends sooner comes first. */
function withinGrade(trouble: Trouble): number {
  switch (trouble.what) {
    case 'late':
      return -trouble.lateByMs;
    case 'hold late':
      return trouble.dueAt;
    case 'dwell':
      return trouble.limitAt;
    case 'waiver ends':
      return trouble.waived.until;
    case 'targets end':
      return trouble.targets.until;
    case 'fault':
      return trouble.fault.at;
    case 'blood':
      return -trouble.percent;
    case 'caution':
      return -trouble.cautions.length;
    case 'finding':
    case 'piece missing':
    case 'pressure':
    case 'lost':
      return trouble.at;
  }
}

/** Orders troubles, gravest first. */
export function byGravity(a: Trouble, b: Trouble): number {
  return gravityOf(a) - gravityOf(b) || withinGrade(a) - withinGrade(b);
}
