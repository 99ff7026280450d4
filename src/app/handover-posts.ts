import { owedLines } from '../domain/duties/duties-of-line.ts';
import { soonMs } from '../domain/handover/handed-over-shift.ts';
import type { WardPolicy } from '../domain/policy/ward-policy.ts';
import type { LineState } from '../domain/record/line-state.ts';
import { horizonOf, type Round } from '../domain/rounds/rounds.ts';
import { visitsBetween } from '../domain/rounds/visit.ts';
import type { Post, WardView } from './ports.ts';

/** Characters of patients to a message, whose text holds 4,000. */
const pageRoom = 3_800;
/** What is said of a line besides free text and faults, at the most. */
const plainLength = 900;
/** Of the latest notes a handover repeats so many, each up to so many characters. */
export const notesShown = 3;
const noteLength = 130;
const faultLength = 130;
/** More lines than this in one round are counted, not named. */
export const namedInRound = 8;
/** Characters of rounds to a message. */
const roundsRoom = 2_500;

/**
 * The messages of one handover: pages of patients, the rounds of the coming shift where they fill more than one
 * message, then a last one that is accepted. `forMs`: the shift start it is for, or the instant it was asked for; it
 * tells handovers apart.
 */
export function handoverPosts({ ward, lines }: WardView, forMs: number, now: number): Post[] {
  const byName = lines.toSorted(
    (a, b) => a.patient.name.localeCompare(b.patient.name, 'en') || a.placed.at - b.placed.at,
  );
  const ordered = owedLines(byName, ward.policy, now);
  const out = byName.filter((line) => !ordered.includes(line)).map(({ id }) => id);
  const ids = ordered.map(({ id }) => id);
  const pages = pagesOf(ordered);
  const stamp = forMs.toString(36);
  const post = (number: number, lineIds: string[], about: NonNullable<Post['about']>): Post => ({
    key: `3.handover.${stamp}.${String(number).padStart(3, '0')}`,
    kind: 'handover',
    to: 'ward',
    lines: lineIds,
    asked: [],
    at: now,
    about,
  });
  const spans = roundSpans(handoverPlan(ordered, ward.policy, now), ordered, coveredTime(ward.policy, now));
  return [
    ...pages.map((page, index) =>
      post(index, page, { what: 'patients', for: forMs, page: index + 1, pages: pages.length }),
    ),
    ...spans
      .slice(0, -1)
      .map((span, index) => post(500 + index, ids, { what: 'rounds', for: forMs, ...span })),
    post(999, [...ids, ...out], {
      what: 'accept',
      for: forMs,
      pages: pages.length,
      ...(out.length > 0 ? { out } : {}),
      ...spans.at(-1),
    }),
  ];
}

/** The time whose rounds are told at `now`: the shift that begins soon, else what is left of this one. */
export function coveredTime(policy: WardPolicy, now: number): { fromMs: number; toMs: number } {
  return horizonOf(policy, now, soonMs(policy));
}

/** The visits a handover at `at` foretells: for the whole ward, since whoever accepts it takes every line over. */
export function handoverPlan(lines: readonly LineState[], policy: WardPolicy, at: number): Round[] {
  const { fromMs, toMs } = coveredTime(policy, at);
  return visitsBetween(lines, policy, fromMs, toMs);
}

/** Ids of the lines of each page: as many as their words leave room for, so that none is cut short. */
function pagesOf(lines: readonly LineState[]): string[][] {
  const pages: string[][] = [];
  let left = 0;
  for (const line of lines) {
    const takes = lengthOfPatient(line);
    const last = pages.at(-1);
    if (last && takes <= left) last.push(line.id);
    else pages.push([line.id]);
    left = (last && takes <= left ? left : pageRoom) - takes;
  }
  return pages;
}

function lengthOfPatient({ patient, indication, notes, faults }: LineState): number {
  const notesLength = notes
    .slice(-notesShown)
    .reduce((sum, { text }) => sum + Math.min(noteLength, written(text)), 0);
  return (
    plainLength +
    written(patient.name) +
    written(indication ?? '') +
    notesLength +
    faults.length * faultLength
  );
}

/** Length as the platform writes it: `&`, `<` and `>` take up to five characters. */
function written(text: string): number {
  return text.length + 4 * (text.match(/[&<>]/g)?.length ?? 0);
}

/** The horizon cut so that the rounds of each piece fit one message: from, up to but not including to. */
function roundSpans(
  rounds: readonly Round[],
  lines: readonly LineState[],
  { fromMs, toMs }: { fromMs: number; toMs: number },
): { from: number; to: number }[] {
  const nameLength = new Map(lines.map(({ id, patient }) => [id, patient.name.length]));
  const lengthOf = ({ duties }: Round) => {
    const ids = new Set(duties.map(({ lineId }) => lineId));
    const kinds = new Set(duties.map(({ kind }) => kind)).size;
    // What to bring is said once for each kind of duty.
    const bring = 16 + kinds * 40;
    if (ids.size > namedInRound) {
      // What only one line needs is said with its name, and with its artery where two have that name.
      const alone = [...Map.groupBy(duties, ({ kind }) => kind).values()].filter(
        ({ length }) => length === 1,
      );
      const nameOf = (id: string | undefined) => lines.find((line) => line.id === id)?.patient.name ?? '';
      const named = alone.map(([only]) => written(nameOf(only?.lineId)) + 28);
      return 30 + kinds * 45 + bring + named.reduce((sum, length) => sum + length, 0);
    }
    return [...ids].reduce((sum, id) => sum + (nameLength.get(id) ?? 0) + 4, 10 + duties.length * 22 + bring);
  };
  const cuts: number[] = [];
  let filled = 0;
  for (const round of rounds) {
    const takes = lengthOf(round);
    if (filled > 0 && filled + takes > roundsRoom) {
      cuts.push(round.at);
      filled = 0;
    }
    filled += takes;
  }
  return [fromMs, ...cuts].map((from, index) => ({ from, to: cuts[index] ?? toMs }));
}
