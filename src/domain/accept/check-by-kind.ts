import type { ByKind } from '../by-kind.ts';
import { concerns, concernsDuty } from '../duties/duty.ts';
import { claimOn } from '../duties/marks-on.ts';
import { openFault } from '../fold/fold-faults.ts';
import { isCapped } from '../level/transducer.ts';
import { laterMinOf } from '../policy/ward-policy.ts';
import { hasTargets, longestTargetsMs, targetsInForce } from '../reading/targets.ts';
import type { DraftOf, Entry, EntryDraft, EntryHead, EntryKind, EntryOf } from '../record/entry.ts';
import type { LineState } from '../record/line-state.ts';
import { nextShiftStart } from '../shifts/shift-calendar.ts';
import { mayDecide } from '../ward/on-call.ts';
import type { WardState } from '../ward/ward-state.ts';
import type { Verdict } from './accept.ts';
import { checkAmendment } from './check-amendment.ts';
import { checkClosing, checkStep, pressedAgainMs } from './check-fault.ts';
import { checkReading, decisionMs, type Refusal } from './refusal.ts';
import { seenToSince } from './seen-to-since.ts';

/** What a draft is judged by: the line and the ward as they are, who recorded it and when, the entry it would be, and the log. */
export interface Judged {
  line: LineState;
  ward: WardState;
  head: EntryHead;
  entry: Entry;
  log: readonly Entry[];
}

/** What stands against taking a draft of its kind; null where nothing does. */
type Checks<Kind extends EntryKind> = ByKind<Extract<EntryDraft, { kind: Kind }>, [Judged], Verdict | null>;

const taken = () => null;

const answersToDuties: Checks<'claimed' | 'snoozed' | 'waived' | 'noted' | 'nudged' | 'escalated'> = {
  waived({ body }, { ward, head: { by, told: now } }) {
    if (!mayDecide(ward, by, now)) return refuse({ because: 'clinician only' });
    return body.until > now + decisionMs
      ? refuse({ because: 'decided for too long', latest: now + decisionMs })
      : null;
  },
  claimed({ body }, { line, head: { by, told: now } }) {
    for (const [kind, dueAt] of body.duties) {
      const held = claimOn(line.marks[kind] ?? {});
      if (held && held.by !== by && held.until > now && concernsDuty(kind, held, dueAt)) {
        return refuse({ because: 'claimed already', by: held.by, until: held.until });
      }
    }
    return null;
  },
  snoozed({ body }, { line, ward, head: { by, told: now } }) {
    for (const [kind, dueAt] of body.duties) {
      if (laterMinOf(ward.policy, kind) === 0) return refuse({ because: 'cannot be put off' });
      const before = line.marks[kind]?.snoozed;
      if (!before || !concerns(before, dueAt)) continue;
      return before.by === by && now - before.at <= pressedAgainMs
        ? { already: { at: before.at, by: before.by, entry: before.entry } }
        : refuse({ because: 'put off once already', until: before.until });
    }
    return null;
  },
  noted: taken,
  nudged: taken,
  escalated: taken,
};

const faults: Checks<'faultOpened' | 'faultStep' | 'faultClosed'> = {
  faultOpened({ body }, { line }) {
    const open = openFault(line, body.sign);
    return open ? { already: { at: open.at, by: open.by, entry: open.entry } } : null;
  },
  faultStep: ({ body }, { line }) => checkStep(line, body),
  faultClosed: ({ body }, { line, head }) => checkClosing(line, body, head),
};

const whereItIs: Checks<'assigned' | 'capped' | 'transducerJoined' | 'leftWard' | 'arrived' | 'returned'> = {
  assigned: ({ body: { from } }, { ward, head }) =>
    from !== undefined && !isShiftToCome(ward, from, head.told)
      ? refuse({ because: 'not a shift start', at: from })
      : null,
  capped: ({ body }, { line }) =>
    isCapped(line) && !body.flushed ? { already: line.last.capped ?? line.placed } : null,
  transducerJoined: taken,
  leftWard: (draft, { line, head }) => checkMove(line, draft, head.told),
  arrived: (draft, { line, head }) => checkMove(line, draft, head.told),
  returned: (draft, { line, head }) => checkMove(line, draft, head.told),
};

const pressuresAndTargets: Checks<
  'zeroed' | 'levelled' | 'fastFlushTested' | 'reading' | 'targetsSet' | 'targetsEnded'
> = {
  zeroed: taken,
  levelled: taken,
  fastFlushTested: taken,
  reading({ body }) {
    const refusal = checkReading(body);
    return refusal && refuse(refusal);
  },
  targetsSet({ body }, { ward, head: { by, told: now } }) {
    if (!mayDecide(ward, by, now)) return refuse({ because: 'clinician only' });
    if (!hasTargets(body)) return refuse({ because: 'no targets' });
    if (body.until <= now) return refuse({ because: 'ends too soon', until: body.until });
    return body.until > now + longestTargetsMs
      ? refuse({ because: 'decided for too long', latest: now + longestTargetsMs })
      : null;
  },
  targetsEnded(_, { line, ward, head }) {
    if (!mayDecide(ward, head.by, head.told)) return refuse({ because: 'clinician only' });
    return targetsInForce(line, head.at) === null ? refuse({ because: 'no targets' }) : null;
  },
};

/** What is asked of a draft because of its kind. */
export const checks: ByKind<EntryDraft, [Judged], Verdict | null> = {
  ...answersToDuties,
  ...faults,
  ...whereItIs,
  ...pressuresAndTargets,
  flushModeChanged({ body: { mode } }, { line, head }) {
    if (mode !== line.flushMode) return null;
    const last = line.last.flushModeChanged;
    return last?.by === head.by && head.told - last.at <= pressedAgainMs
      ? { already: last }
      : refuse({ because: 'mode as before', mode: line.flushMode });
  },
  amended(_, { line, ward, entry, log }) {
    const refusal = checkAmendment(line, ward, entry as EntryOf<'amended'>, log);
    return refusal && refuse(refusal);
  },
  placed: taken,
  flushed: taken,
  sourceChanged: taken,
  sourceChecked: taken,
  redressed: taken,
  siteChecked: taken,
  sampled: taken,
  disturbed: taken,
  removed(_, { head, log }) {
    const refusal = seenToSince(log, head.at);
    return refusal && refuse(refusal);
  },
  pulseChecked: taken,
  holdEnded: taken,
};

function refuse(refusal: Refusal): Verdict {
  return { refuse: refusal };
}

/** A step of a move is taken where it changes something: the same one recorded again is the one that stands. */
function checkMove(
  { away, last, removed }: LineState,
  { kind, body }: DraftOf<'leftWard'> | DraftOf<'arrived'> | DraftOf<'returned'>,
  now: number,
): Verdict | null {
  const isNamedAnew = body.with !== undefined && body.with !== away?.with;
  if (kind === 'leftWard') {
    const isSame = away !== null && 'to' in body && body.to === away.to && !isNamedAnew;
    return isSame ? { already: away } : null;
  }
  if (away === null) {
    // Its limb is on the ward, or nowhere any more.
    if (removed) return { refuse: { because: 'line out', removedAt: removed.at, by: removed.by } };
    const again = last[kind];
    return again && now - again.at <= pressedAgainMs
      ? { already: again }
      : { refuse: { because: 'not away' } };
  }
  if (kind === 'arrived' && away.arrivedAt !== null && !isNamedAnew) return { already: last.arrived ?? away };
  return null;
}

/** Whether a line can be given to somebody from `from` (ms) on: the start of the coming shift. */
function isShiftToCome({ policy }: WardState, from: number, now: number): boolean {
  return from === nextShiftStart(policy.shifts, now);
}
