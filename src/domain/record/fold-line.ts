import { bloodLostMl } from '../blood/blood-loss.ts';
import { signOfStep } from '../fault/next-question.ts';
import { sourceInUse } from '../fluid/flush-fluid.ts';
import { hasSide } from '../line/anatomy.ts';
import { isCapped } from '../line/transducer.ts';
import { type EffectiveEntry, effectiveEntries } from './effective-entries.ts';
import {
  type Entry,
  type EntryKind,
  type EntryOf,
  isAlarming,
  isLimbAlarming,
  type SiteFinding,
} from './entry.ts';
import { cappedNow, joinedNow, movedNow } from './fold-moves.ts';
import { isLimbNews } from './limb-after-removal.ts';
import type { Cause, Done, Fault, LineState, Marks, Reading } from './line-state.ts';

/** Raised when the fold or the state's shape changes: a snapshot made by another number is folded again. */
export const foldNumber = 15;

const dayMs = 24 * 3_600_000;
/** Closed faults that are remembered in the state; all are in the log. */
const faultsKept = 5;
/** Shifts for which is remembered whom the line was given to: the last, the running and the coming one. */
const plannedShiftsKept = 3;

/**
 * The state of a line from its whole log, whatever order things were told in.
 * A log begins with `placed`; anything else is a bug and throws.
 */
export function foldLine(id: string, log: readonly Entry[]): LineState {
  const { first, rest } = fromPlacing(id, log);
  return { ...rest.reduce(apply, first), version: log.length };
}

/** One entry that counts, with the line as it was before it and after. */
export interface FoldStep {
  before: LineState;
  entry: Entry;
  after: LineState;
}

/**
 * The states that a line went through, in the order things happened, every amendment known from the start. Its placing is
 * the first state and no step. The states' `version` is not that of the log. `passedOver`: kinds of entry whose traces in the
 * state nobody will look at; they leave the line as it was. Throws as `foldLine` does.
 */
export function foldSteps(
  id: string,
  log: readonly Entry[],
  passedOver: readonly EntryKind[] = [],
): { first: LineState; steps: FoldStep[] } {
  const { first, rest } = fromPlacing(id, log);
  let before = first;
  const steps = rest.map((effective) => {
    const { entry } = effective;
    const step = {
      before,
      entry,
      after: passedOver.includes(entry.kind) ? before : apply(before, effective),
    };
    before = step.after;
    return step;
  });
  return { first, steps };
}

function fromPlacing(id: string, log: readonly Entry[]): { first: LineState; rest: EffectiveEntry[] } {
  const all = effectiveEntries(log);
  const [first] = all;
  if (first?.entry.kind !== 'placed') throw new Error(`line ${id}: the log does not begin with its placing`);
  const told = first.amended?.toldOf['patient'] ?? first.entry.told;
  return { first: begin(id, first.entry, first.number, told), rest: all.slice(1) };
}

/**
 * The state after one more entry. `log` is asked for only when the entry happened before something already folded,
 * or amends it; then everything after is derived anew.
 */
export function foldNext(state: LineState, entry: Entry, log: () => readonly Entry[]): LineState {
  if (entry.kind === 'amended' || entry.at < state.latestAt) return foldLine(state.id, [...log(), entry]);
  return { ...apply(state, { number: state.version + 1, entry }), version: state.version + 1 };
}

function begin(id: string, entry: EntryOf<'placed'>, number: number, patientTold: number): LineState {
  const { body, at, by } = entry;
  const done: Done = { at, by, entry: number };
  const isSamplesOnly = body.transducer === false;
  const cause: Cause | null = isSamplesOnly ? null : { at, entry: number, why: 'placed' };
  return {
    id,
    version: 1,
    latestAt: at,
    placed: done,
    knownSince: Math.max(at, entry.told),
    patient: body.patient,
    patientTold,
    animalTold: body.animal ?? null,
    site: body.site,
    // An amended site may leave a side behind that the new one does not have.
    side: hasSide(body.site) ? (body.side ?? null) : null,
    gauge: body.gauge,
    indication: body.indication ?? null,
    operator: body.operator ?? null,
    tries: body.tries ?? null,
    screening: body.screening ?? null,
    nurse: body.nurse,
    nurseSince: Math.max(at, entry.told),
    plannedNurses: [],
    // A capped line is flushed by hand, whatever was told.
    flushMode: isSamplesOnly ? 'manual' : body.flushMode,
    flushModeSince: at,
    source: body.source ? { ...body.source, asOf: at } : null,
    setSince: at,
    cappedSpells: isSamplesOnly ? [{ from: at, until: null }] : [],
    setAside: null,
    away: null,
    awaySpells: [],
    last: { placed: done },
    level: null,
    openToAir: null,
    test: null,
    reading: null,
    targets: null,
    siteFinding: null,
    finding: null,
    findingGone: null,
    tipMissing: null,
    pulse: null,
    siteSeen: done,
    flushed: done,
    zeroCause: cause,
    testCause: cause,
    levelCause: null,
    flushCause: null,
    siteCause: null,
    redressCause: null,
    samples: [],
    lostMl: 0,
    handFlushes: [],
    flushedMl: 0,
    flushCount: 0,
    flushUntoldCount: 0,
    faults: [],
    faultLeft: null,
    faultLeftResolved: null,
    removed: null,
    pulsesAfterRemoval: [],
    holdFrom: null,
    heldAgainTold: null,
    holdEnded: null,
    marks: {},
    notes: [],
  };
}

/** Whether a test made now tells of a reading before it: none that could be judged has, and nothing was renewed between. */
function speaksOf({ at, testAfter }: Reading, { testCause }: LineState): boolean {
  const isOpen = testAfter === undefined || testAfter.verdict === 'cannot tell';
  return isOpen && (testCause === null || testCause.at <= at);
}

/** Of a line without a transducer nothing asks for a zero, a level or a test. */
function apply(before: LineState, effective: EffectiveEntry): LineState {
  const state = applied(before, effective);
  return isCapped(state) ? { ...state, zeroCause: null, testCause: null, levelCause: null } : state;
}

function applied(before: LineState, effective: EffectiveEntry): LineState {
  const { entry, number } = effective;
  const done: Done = { at: entry.at, by: entry.by, entry: number };
  const state: LineState = {
    ...before,
    latestAt: Math.max(before.latestAt, entry.at),
    last: { ...before.last, [entry.kind]: done },
  };
  // What was told late could be asked for only then: it is not late from before it was told.
  const cause = (why: Cause['why']): Cause => ({ at: Math.max(entry.at, entry.told), entry: number, why });
  const words = { at: entry.at, entry: number };
  switch (entry.kind) {
    case 'zeroed':
      state.zeroCause = null;
      if (entry.body.openToAirMmHg !== undefined)
        state.openToAir = { mmHg: entry.body.openToAirMmHg, at: entry.at };
      if (before.reading && !before.reading.zeroAfter)
        state.reading = {
          ...before.reading,
          zeroAfter: { at: entry.at, openToAirMmHg: entry.body.openToAirMmHg ?? null },
        };
      return state;
    case 'levelled':
      state.levelCause = null;
      state.level = { belowHeartCm: entry.body.belowHeartCm ?? 0, at: entry.at };
      if (before.reading && !before.reading.levelAfter)
        state.reading = { ...before.reading, levelAfter: state.level };
      return state;
    case 'fastFlushTested':
      state.testCause = null;
      state.test = { ...entry.body, at: entry.at };
      if (before.reading && speaksOf(before.reading, before))
        state.reading = { ...before.reading, testAfter: state.test };
      return state;
    case 'flushed':
      // A syringe that was told of stays in the hand until another is.
      if (entry.body.heparinUPerMl !== undefined && before.flushMode === 'manual')
        state.source = {
          ...(sourceInUse(before) ?? { kind: 'syringe', asOf: entry.at }),
          heparinUPerMl: entry.body.heparinUPerMl,
        };
      Object.assign(state, flushedByHand(before, done, entry.body.volumeMl, entry.body.heparinUPerMl));
      return state;
    case 'flushModeChanged':
      state.flushMode = entry.body.mode;
      state.flushModeSince = entry.at;
      if (entry.body.source) state.source = { ...entry.body.source, asOf: entry.at };
      return state;
    case 'sourceChanged':
      state.source = { ...entry.body.source, asOf: entry.at };
      if (entry.body.newSet) {
        state.setSince = entry.at;
        state.zeroCause = sooner(before.zeroCause, cause('source changed'));
        state.testCause = sooner(before.testCause, cause('source changed'));
      }
      return state;
    case 'sourceChecked':
      if (state.source) {
        const { pressureMmHg, volumeLeftMl } = entry.body;
        state.source = {
          ...state.source,
          ...(pressureMmHg === undefined ? {} : { pressureMmHg }),
          ...(volumeLeftMl === undefined ? {} : { volumeMl: volumeLeftMl, asOf: entry.at }),
        };
      }
      return state;
    case 'redressed':
      state.redressCause = null;
      state.zeroCause = sooner(before.zeroCause, cause('redressed'));
      if (entry.body.finding) {
        state.siteSeen = done;
        state.siteCause = null;
        state.siteFinding = { finding: entry.body.finding, at: entry.at, by: entry.by };
        Object.assign(state, siteLookedAt(before, entry.body.finding, done, signsTold(effective)));
      } else {
        state.siteCause = sooner(before.siteCause, cause('redressed'));
      }
      return state;
    case 'siteChecked':
      state.siteSeen = done;
      state.siteCause = null;
      state.siteFinding = { finding: entry.body.finding, at: entry.at, by: entry.by };
      Object.assign(state, siteLookedAt(before, entry.body.finding, done, signsTold(effective)));
      if (entry.body.finding.soiled) state.redressCause = sooner(before.redressCause, cause('soiled'));
      return state;
    case 'sampled': {
      const { volumeMl, discardMl, discardReturned, flushed } = entry.body;
      state.zeroCause = sooner(before.zeroCause, cause('sampled'));
      if (flushed) Object.assign(state, flushedByHand(before, done, entry.body.flushMl));
      else state.flushCause = sooner(before.flushCause, cause('sampled'));
      const sample = {
        at: entry.at,
        by: entry.by,
        volumeMl,
        discardMl: discardMl ?? 0,
        discardReturned: discardReturned ?? false,
      };
      state.lostMl += bloodLostMl([sample]);
      state.samples = [...before.samples, sample].filter(({ at }) => at > entry.at - dayMs);
      return state;
    }
    case 'reading':
      state.reading = {
        ...entry.body,
        at: entry.at,
        // Put right it is news again: a worse number must reach whoever had decided on the first.
        told: Math.max(entry.at, entry.told, effective.amended?.told ?? 0),
        by: entry.by,
        entry: number,
        zeroedAt: before.last.zeroed?.at ?? null,
        unzeroed: before.zeroCause,
        unlevelled: before.levelCause,
        test: before.test,
      };
      return state;
    case 'disturbed': {
      const volumeMl = entry.body.bloodLostMl ?? 0;
      const spilt = { at: entry.at, by: entry.by, volumeMl, discardMl: 0, discardReturned: false };
      state.zeroCause = sooner(before.zeroCause, cause('disturbed'));
      state.levelCause = sooner(before.levelCause, cause('disturbed'));
      state.lostMl += volumeMl;
      if (volumeMl > 0)
        state.samples = [...before.samples, { ...spilt, isSpilt: true as const }].filter(
          ({ at }) => at > entry.at - dayMs,
        );
      return state;
    }
    case 'capped':
      Object.assign(state, cappedNow(before, entry, cause('capped')));
      if (entry.body.flushed) Object.assign(state, flushedByHand(before, done, entry.body.flushMl));
      return state;
    case 'transducerJoined':
      return { ...state, ...joinedNow(before, entry, cause('joined')) };
    case 'leftWard':
    case 'arrived':
    case 'returned':
      return { ...state, ...movedNow(before, entry, done, cause) };
    case 'faultOpened':
      state.faults = [
        ...before.faults,
        {
          ...done,
          sign: entry.body.sign,
          steps: [],
          latest: { told: Math.max(entry.at, entry.told), entry: number },
          closedAt: null,
          resolved: false,
        },
      ].filter(({ closedAt }, index, { length }) => closedAt === null || index >= length - faultsKept);
      return state;
    case 'faultStep': {
      const current = openFault(before, signOfStep(entry.body.step));
      if (current)
        state.faults = before.faults.map((fault) =>
          fault === current
            ? {
                ...fault,
                steps: [...fault.steps, entry.body],
                latest: { told: Math.max(entry.at, entry.told), entry: number },
              }
            : fault,
        );
      return state;
    }
    case 'faultClosed': {
      const { resolved, sign } = entry.body;
      const closing = before.faults.filter(
        (fault) => fault.closedAt === null && (sign ?? fault.sign) === fault.sign,
      );
      state.faults = before.faults.map((fault) =>
        closing.includes(fault) ? { ...fault, closedAt: entry.at, resolved } : fault,
      );
      const told = Math.max(entry.at, entry.told);
      const left = closing.at(-1);
      if (resolved && before.faultLeft && (sign ?? before.faultLeft.sign) === before.faultLeft.sign) {
        state.faultLeft = null;
        state.faultLeftResolved = { ...done, told };
      }
      if (!resolved && left) state.faultLeft = { ...done, told, sign: left.sign, steps: left.steps };
      state.zeroCause = sooner(before.zeroCause, cause('fault closed'));
      state.testCause = sooner(before.testCause, cause('fault closed'));
      return state;
    }
    case 'assigned': {
      const { nurse, from } = entry.body;
      const told = Math.max(entry.at, entry.told);
      if (from === undefined) {
        state.nurse = nurse;
        state.nurseSince = told;
      } else {
        state.plannedNurses = [
          ...before.plannedNurses.filter((planned) => planned.from !== from),
          { nurse, from, told },
        ]
          .toSorted((a, b) => a.from - b.from)
          .slice(-plannedShiftsKept);
      }
      return state;
    }
    case 'removed':
      state.removed = { ...entry.body, at: entry.at, told: entry.told, by: entry.by };
      state.tipMissing =
        entry.body.tipWhole === false && !entry.body.pieceFound
          ? { ...done, told: signsTold(effective) }
          : null;
      // A removal told before and struck may have left a hold or a pulse check behind; they were not after this one.
      state.holdFrom = entry.at;
      state.heldAgainTold = null;
      state.holdEnded = null;
      state.pulsesAfterRemoval = [];
      if (entry.body.finding) {
        state.siteFinding = { finding: entry.body.finding, at: entry.at, by: entry.by };
        Object.assign(state, siteLookedAt(before, entry.body.finding, done, signsTold(effective)));
      }
      return state;
    case 'pulseChecked':
      state.pulse = { ...entry.body, at: entry.at, by: entry.by };
      Object.assign(state, limbLookedAt(before, entry.body, done, signsTold(effective)));
      if (state.removed) state.pulsesAfterRemoval = [...before.pulsesAfterRemoval, done];
      return state;
    case 'holdEnded':
      if (!entry.body.oozing) state.holdEnded = done;
      else {
        // What oozes after a second hold is a finding: it does not stop by itself.
        const first = before.heldAgainTold;
        const told = Math.max(signsTold(effective), first ?? 0);
        state.holdFrom = entry.at;
        state.heldAgainTold = told;
        // Known since both were told, in whatever order.
        if (before.removed !== null && first !== null)
          Object.assign(state, siteLookedAt(before, { ooze: true }, done, told));
      }
      return state;
    case 'noted':
      state.notes = [...before.notes, { text: entry.body.text, at: entry.at, by: entry.by }].slice(-5);
      if (entry.body.cannot) {
        const [kind, dueAt] = entry.body.cannot;
        state.marks = mark(before, [[kind, dueAt]], 'cannot', {
          ...words,
          by: entry.by,
          reason: entry.body.text,
        });
      }
      return state;
    case 'nudged':
      state.marks = mark(before, entry.body.duties, 'nudged', words);
      return state;
    case 'escalated':
      state.marks = escalatedMarks(before, entry.body, words);
      return state;
    case 'claimed':
      state.marks = mark(before, entry.body.duties, 'claimed', {
        ...words,
        by: entry.by,
        until: entry.body.until,
      });
      return state;
    case 'snoozed':
      state.marks = mark(before, entry.body.duties, 'snoozed', {
        ...words,
        by: entry.by,
        until: entry.body.until,
      });
      return state;
    case 'waived': {
      const { duty, dueAt, reason, until } = entry.body;
      state.marks = mark(before, [[duty, dueAt]], 'waived', { ...words, by: entry.by, reason, until });
      const causeOf = {
        zero: 'zeroCause',
        test: 'testCause',
        flush: 'flushCause',
        site: 'siteCause',
        redress: 'redressCause',
      } as const;
      if (!(duty in causeOf)) return state;
      // What made it due waits until the waiver ends; a new cause before then counts at once.
      const key = causeOf[duty as keyof typeof causeOf];
      const waiting = state[key];
      if (waiting) state[key] = { ...waiting, at: Math.max(waiting.at, until), entry: number };
      return state;
    }
    case 'targetsSet':
      state.targets = { ...entry.body, at: entry.at, by: entry.by, endedAt: null, entry: number };
      return state;
    case 'targetsEnded':
      if (before.targets) state.targets = { ...before.targets, endedAt: entry.at };
      return state;
    case 'placed':
    case 'amended':
      return state;
  }
}

/** What a flush by hand leaves behind; its heparin (U/mL) is that of the source in use where none was told with it. */
function flushedByHand(
  before: LineState,
  done: Done,
  volumeMl: number | undefined,
  heparinUPerMl = sourceInUse(before)?.heparinUPerMl,
): Partial<LineState> {
  const flush = { ...done, volumeMl: volumeMl ?? null, heparinUPerMl: heparinUPerMl ?? null };
  return {
    flushed: done,
    flushCause: null,
    flushCount: before.flushCount + 1,
    flushUntoldCount: before.flushUntoldCount + (volumeMl === undefined ? 1 : 0),
    flushedMl: before.flushedMl + (volumeMl ?? 0),
    handFlushes: [...before.handFlushes, flush].filter(({ at }) => at > done.at - dayMs),
  };
}

/** The fault of this sign that is open; undefined where there is none. */
export function openFault(
  { faults }: Pick<LineState, 'faults'>,
  sign: string | undefined,
): Fault | undefined {
  return faults.findLast((fault) => fault.closedAt === null && fault.sign === sign);
}

/** The cause that makes a duty due first; of two at one time the one that stood already. */
function sooner(standing: Cause | null, next: Cause): Cause {
  return standing && standing.at <= next.at ? standing : next;
}

function mark<K extends keyof Marks>(
  state: LineState,
  duties: readonly (readonly [EntryOf<'waived'>['body']['duty'], number])[],
  name: K,
  said: Omit<NonNullable<Marks[K]>, 'dueAt'>,
): LineState['marks'] {
  const marks = { ...state.marks };
  for (const [kind, dueAt] of duties) marks[kind] = { ...marks[kind], [name]: { dueAt, ...said } };
  return marks;
}

/** What a reader was told; how often in a row is counted for one duty and one person, and what was only added does not count. */
function escalatedMarks(
  state: LineState,
  { duties, to, user, joins }: EntryOf<'escalated'>['body'],
  words: { at: number; entry: number },
): LineState['marks'] {
  return duties.reduce((marks, [kind, dueAt]) => {
    const before = marks[kind]?.[to];
    const again = before !== undefined && before.dueAt === dueAt && before.user === user;
    const times = (again ? (before.times ?? 1) : 0) + (joins === undefined ? 1 : 0);
    const told = { ...words, times, ...(user === undefined ? {} : { user }), ...(joins === undefined ? {} : { joins }) };
    return mark({ ...state, marks }, [[kind, dueAt]], to, told);
  }, state.marks);
}

type FindingState = Pick<LineState, 'finding' | 'findingGone'>;

/** Signs at the site itself, which a pulse check does not see. */
function hasSiteSigns({ swelling, pain, ooze }: SiteFinding): boolean {
  return Boolean(swelling || pain || ooze);
}

/**
 * A look at the site sees the part below it as well: nothing alarming there ends any finding that was told before it. What
 * was told after a look, of a time before it, is news: then both stand.
 */
function siteLookedAt(
  { finding: open, findingGone }: LineState,
  seen: SiteFinding,
  done: Done,
  told: number,
): FindingState {
  const isLater = open !== null && open.told > told;
  if (!isAlarming(seen)) {
    if (open === null || isLater) return { finding: open, findingGone };
    return { finding: null, findingGone: { ...done, told } };
  }
  if (!isLater) return { finding: { ...done, told, site: seen, limb: null }, findingGone };
  return { finding: { ...open, site: { ...open.site, ...seen } }, findingGone };
}

function limbLookedAt(
  { finding: open, findingGone, removed, pulse, pulsesAfterRemoval }: LineState,
  body: EntryOf<'pulseChecked'>['body'],
  done: Done,
  told: number,
): FindingState {
  const isLater = open !== null && open.told > told;
  const before = pulsesAfterRemoval.length > 0 ? pulse : null;
  const isAlarmingItself = isLimbAlarming(body);
  // A pulse that was absent and is weak now is better, not news: the finding stands as it was told.
  const isNews =
    isAlarmingItself || (!open?.limb && isLimbNews(body, before, done.at - (removed?.at ?? done.at)));
  if (isNews) {
    const limb = isAlarmingItself || before === null ? body : { ...body, before: before.pulse };
    if (isLater) return { finding: { ...open, limb: open.limb ?? limb }, findingGone };
    return { finding: { ...done, told, site: open?.site ?? {}, limb }, findingGone };
  }
  if (open === null || isLater || body.pulse !== 'present') return { finding: open, findingGone };
  const { swelling, pain, ooze } = open.site;
  if (!hasSiteSigns(open.site)) return { finding: null, findingGone: { ...done, told } };
  const site = Object.fromEntries(Object.entries({ swelling, pain, ooze }).filter(([, sign]) => sign));
  return { finding: { ...open, site, limb: null }, findingGone };
}

/**
 * When alarming signs were told, ms: where an amendment added some, when that was told. Signs that stood already are no
 * news.
 */
function signsTold({ entry, amended }: EffectiveEntry): number {
  const told = Math.max(entry.at, entry.told);
  if (!amended) return told;
  const signs = (one: Entry) => {
    const {
      finding = {},
      pulse = 'present',
      cold,
      tipWhole,
      pieceFound,
    } = one.body as {
      finding?: SiteFinding;
      pulse?: string;
      cold?: boolean;
      tipWhole?: boolean;
      pieceFound?: boolean;
    };
    const named = Object.entries({
      ...finding,
      soiled: false,
      coldLimb: cold,
      absent: pulse === 'absent',
      notPresent: pulse !== 'present',
      missing: tipWhole === false && !pieceFound,
    });
    return named.filter(([, seen]) => seen).map(([sign]) => sign);
  };
  const before = signs(amended.first);
  return signs(entry).some((sign) => !before.includes(sign)) ? Math.max(told, amended.told) : told;
}
