import { lineCourse, type Period } from '../audit/line-course.ts';
import { owedLines } from '../duties/duties-of-line.ts';
import { type InParts, whole } from '../in-parts.ts';
import type { WardPolicy } from '../policy/ward-policy.ts';
import type { Entry } from '../record/entry.ts';
import type { LineState } from '../record/line-state.ts';
import type { Round } from '../rounds/rounds.ts';
import { previousShift, type Shift, shiftAt } from '../shifts/shift-calendar.ts';
import { minuteMs } from '../time.ts';
import { handedOverShift } from '../ward/handed-over-shift.ts';
import type { WardEntry } from '../ward/ward-entry.ts';
import type { WardState } from '../ward/ward-state.ts';
import { comingVisits, coveredTime } from './coming-visits.ts';
import { type CareOfShift, careOfShift } from './late-care.ts';
import { byGravity, type Trouble } from './trouble.ts';
import { troublesOf } from './troubles-of-line.ts';

/** A line as a handover has it: how it stands, its care of the shift, and what of it is to be watched, gravest first. */
export interface HandedLine {
  line: LineState;
  care: CareOfShift[];
  troubles: Trouble[];
}

/** One shift handed to the next, every part of it as it was at one instant. */
export interface ShiftHandover {
  /** The instant, ms. */
  atMs: number;
  /** The shift start it is for, or the instant it was asked for; and whether it came by itself. */
  handover: { for: number; auto: boolean };
  ward: WardState;
  /** The shift handed over, up to the instant. */
  worked: Period;
  /** The shift it is handed to, from its start; in the middle of a shift what is left of it, from the instant. */
  coming: Period & { name: string };
  /** Lines with something to watch, most urgent first. */
  watch: HandedLine[];
  /** The others that are in or followed up, by name. */
  stable: HandedLine[];
  /** Lines taken out to which nothing is owed. */
  gone: LineState[];
  /** The visits of the coming shift. */
  visits: Round[];
  /** Times of the shift in which the bot was down. */
  downs: Period[];
  /** Times of the shift in which buttons and commands were not taken; `toMs` is null where it was not over. */
  commandsLost: { fromMs: number; toMs: number | null }[];
}

/** The shift that is handed over at `atMs`, up to then: the running one, or the one just ended in its successor's first hour. */
export function workedShift(
  { policy }: WardState,
  { for: forMs, auto }: { for: number; auto: boolean },
  atMs: number,
): Period {
  const { shifts } = policy;
  const start = handedOverShift(policy, { for: forMs, auto });
  const running = shiftAt(shifts, atMs);
  const isJustEnded = atMs - running.startMs < 60 * minuteMs;
  if (start !== null) return { fromMs: Math.min(previousShift(shifts, start).startMs, atMs), toMs: atMs };
  return { fromMs: (isJustEnded ? previousShift(shifts, atMs) : running).startMs, toMs: atMs };
}

function comingShift(policy: WardPolicy, atMs: number): Period & { name: string } {
  const { toMs } = coveredTime(policy, atMs);
  const shift: Shift = shiftAt(policy.shifts, toMs - 1);
  return { name: shift.name, fromMs: Math.max(shift.startMs, atMs), toMs };
}

/**
 * The handover of a ward at `atMs`. `ward` and the lines are as they were then, the lines with what their animals' other
 * lines say; logs hold nothing that was recorded later. Everything is worked out from these, so no two parts can disagree.
 */
export function shiftHandover(
  ward: WardState,
  lines: readonly { line: LineState; log: readonly Entry[] }[],
  of: HandoverOf,
): ShiftHandover {
  return whole(shiftHandoverInParts(ward, lines, of));
}

/** Which handover, and what it needs besides the lines. */
export interface HandoverOf {
  atMs: number;
  handover: { for: number; auto: boolean };
  policyAt: (at: number) => WardPolicy;
  wardLog: readonly WardEntry[];
}

/** The same, line by line and visit by visit: a ward takes some 10 ms, and a hundred wards change shift at once. */
export function* shiftHandoverInParts(
  ward: WardState,
  lines: readonly { line: LineState; log: readonly Entry[] }[],
  { atMs, handover, policyAt, wardLog }: HandoverOf,
): InParts<ShiftHandover> {
  const { policy } = ward;
  const worked = workedShift(ward, handover, atMs);
  const coming = comingShift(policy, atMs);
  const owed = new Set(
    owedLines(
      lines.map(({ line }) => line),
      policy,
      atMs,
    ).map(({ id }) => id),
  );
  const found: HandedLine[] = [];
  for (const { line, log } of lines) {
    const course = owed.has(line.id) ? lineCourse({ id: line.id, log }, atMs + 1) : null;
    if (!course) continue;
    const care = careOfShift(course, policyAt, worked);
    found.push({ line, care, troubles: troublesOf({ line, course, care, worked, coming }, policyAt) });
    yield;
  }
  const handed = found.toSorted(byName);
  const watch = handed.filter(({ troubles }) => troubles.length > 0);
  return {
    atMs,
    handover: { for: handover.for, auto: handover.auto },
    ward,
    worked,
    coming,
    watch: watch.toSorted((a, b) => worstFirst(a.troubles, b.troubles)),
    stable: handed.filter(({ troubles }) => troubles.length === 0),
    gone: lines.flatMap(({ line }) => (owed.has(line.id) ? [] : [line])),
    visits: yield* comingVisits(
      handed.map(({ line }) => line),
      policy,
      atMs,
    ),
    downs: wardLog.flatMap(({ kind, body }) =>
      kind === 'wasDown' && body.to > worked.fromMs && body.from < atMs
        ? [{ fromMs: body.from, toMs: body.to }]
        : [],
    ),
    commandsLost: commandsLostIn(wardLog, { fromMs: worked.fromMs, toMs: atMs }),
  };
}

/** When buttons and commands were not taken, by what was recorded of the ward up to the end of `period`. */
function commandsLostIn(wardLog: readonly WardEntry[], period: Period): ShiftHandover['commandsLost'] {
  const lost = new Map<number, number | null>();
  for (const { kind, body } of wardLog) {
    if (kind === 'commandsLost') lost.set(body.from, null);
    if (kind === 'commandsBack') lost.set(body.from, body.to);
  }
  return [...lost].flatMap(([fromMs, toMs]) =>
    (toMs ?? period.toMs) > period.fromMs && fromMs < period.toMs ? [{ fromMs, toMs }] : [],
  );
}

function byName({ line: a }: HandedLine, { line: b }: HandedLine): number {
  return a.patient.name.localeCompare(b.patient.name, 'en') || a.placed.at - b.placed.at;
}

/** By the gravest of each; of two as grave, whose next is graver; then whoever has more. */
function worstFirst(a: readonly Trouble[], b: readonly Trouble[]): number {
  for (let index = 0; index < Math.min(a.length, b.length); index++) {
    const [one, other] = [a[index], b[index]];
    const sooner = one && other ? byGravity(one, other) : 0;
    if (sooner !== 0) return sooner;
  }
  return b.length - a.length;
}

/** The handover without some lines, by id: those that turned out never to have been. */
export function withoutLines(handover: ShiftHandover, ids: ReadonlySet<string>): ShiftHandover {
  if (ids.size === 0) return handover;
  const others = (all: readonly HandedLine[]) => all.filter(({ line }) => !ids.has(line.id));
  const visits = handover.visits
    .map(({ at, duties }) => ({ at, duties: duties.filter(({ lineId }) => !ids.has(lineId)) }))
    .filter(({ duties }) => duties.length > 0);
  return {
    ...handover,
    watch: others(handover.watch),
    stable: others(handover.stable),
    gone: handover.gone.filter(({ id }) => !ids.has(id)),
    visits,
  };
}
