import { patientKey } from '../patient/patient-key.ts';
import { effectiveEntries, placingStruck } from '../record/effective-entries.ts';
import type { Entry, EntryOf } from '../record/entry.ts';
import { hourMs } from '../time.ts';
import type { WardEntry } from '../ward/ward-entry.ts';
import { type Attempt, inOrder } from './attempt.ts';

/** Tries at one patient with no more than this between one and the next are tries at one line; our own rule, no source. */
export const onePlacingMs = 12 * hourMs;

type FailedTries = Extract<WardEntry, { kind: 'triesFailed' }>;
type AttemptEntry = { failed: FailedTries; number: number } | { placed: EntryOf<'placed'>; lineId: string };

/**
 * Every try at a line that was recorded, in the order made: those recorded without a line, and those recorded with the line they came
 * to. Tries at one patient that follow each other within 12 h are one placing, which ends with its line. `tries` recorded
 * with a line are its operator's at that artery: failed ones of theirs recorded before count among them and not once more.
 * A line with none recorded, before it or with it, gives no attempt: how often it was tried, nobody knows. Amendments count, and
 * what was struck does not.
 *
 * Example: two failed by Noor at 08:00, then a line by Nell at 09:00, no tries recorded → failed, failed, succeeded.
 */
export function attemptsOf(
  wardEntries: readonly WardEntry[],
  lines: readonly { id: string; entries: readonly Entry[] }[],
): Attempt[] {
  const struck = new Set(
    wardEntries.flatMap(({ kind, body }) => (kind === 'triesStruck' ? [body.target] : [])),
  );
  const failed = wardEntries.flatMap((entry, index): AttemptEntry[] =>
    entry.kind === 'triesFailed' && !struck.has(index + 1) ? [{ failed: entry, number: index + 1 }] : [],
  );
  const placed = lines.flatMap(({ id, entries }): AttemptEntry[] => {
    const placing = placingOf(entries);
    return placing ? [{ placed: placing, lineId: id }] : [];
  });
  // What was recorded of one animal goes by the name of its latest line, whatever it was called before.
  const named = new Map(
    placed
      .toSorted((a, b) => atOf(a) - atOf(b) || (lineIdOf(a) < lineIdOf(b) ? -1 : 1))
      .flatMap((one) => {
        const { animal } = animalOf(one);
        return animal === undefined ? [] : [[animal, patientKey(patientOf(one))] as const];
      }),
  );
  const byPatient = Map.groupBy(
    [...failed, ...placed],
    (one) => named.get(animalOf(one).animal ?? '') ?? patientKey(patientOf(one)),
  );
  return inOrder([...byPatient.values()].flatMap((theirs) => placingsOf(theirs).flatMap(attemptsOfPlacing)));
}

/** A log's placing as it counts, null where there is none or it was registered in error. Most lines were never amended, and thousands of logs need not be sorted for one entry each. */
export function placingOf(entries: readonly Entry[]): EntryOf<'placed'> | null {
  if (placingStruck(entries)) return null;
  const counted = entries.some(({ kind }) => kind === 'amended')
    ? effectiveEntries(entries).map(({ entry }) => entry)
    : entries;
  return counted.find((entry) => entry.kind === 'placed') ?? null;
}

function lineIdOf(one: AttemptEntry): string {
  return 'failed' in one ? '' : one.lineId;
}

function animalOf(one: AttemptEntry): { animal?: string | undefined } {
  return 'failed' in one ? one.failed.body : one.placed.body;
}

function patientOf(one: AttemptEntry) {
  return 'failed' in one ? one.failed.body.patient : one.placed.body.patient;
}

function atOf(one: AttemptEntry): number {
  return 'failed' in one ? one.failed.at : one.placed.at;
}

/** Two lines of one minute have an order of their own, whichever was read first. */
function compareLines(a: AttemptEntry, b: AttemptEntry): number {
  return 'placed' in a && 'placed' in b ? a.lineId.localeCompare(b.lineId) : 0;
}

/** What was recorded of one patient, parted into placings: a line ends one, and so does a pause of more than 12 h. */
function placingsOf(theirs: readonly AttemptEntry[]): AttemptEntry[][] {
  const placings: AttemptEntry[][] = [];
  // Of one time, failed tries come first, as they were given: they are what the line came after.
  for (const one of theirs.toSorted((a, b) => atOf(a) - atOf(b) || compareLines(a, b))) {
    const open = placings.at(-1);
    const before = open?.at(-1);
    if (open && before && 'failed' in before && atOf(one) - atOf(before) <= onePlacingMs) open.push(one);
    else placings.push([one]);
  }
  return placings;
}

function attemptsOfPlacing(placing: readonly AttemptEntry[]): Attempt[] {
  const failed = placing.flatMap((one) => ('failed' in one ? [one] : []));
  const last = placing.at(-1);
  const line = last && 'placed' in last ? last : null;
  const id = line ? line.lineId : `no line ${failed[0]?.number}`;
  return [
    ...failed.flatMap(({ failed: { at, body } }) =>
      times(body.tries, {
        placing: id,
        at,
        by: body.operator,
        succeeded: false,
        species: body.patient.species,
        site: body.site,
      }),
    ),
    ...(line ? attemptsWithLine(id, line.placed, failed) : []),
  ];
}

function attemptsWithLine(
  placing: string,
  { at, by, body }: EntryOf<'placed'>,
  before: readonly { failed: FailedTries }[],
): Attempt[] {
  if (body.tries === undefined && before.length === 0) return [];
  const operator = body.operator ?? by;
  const recordedBefore = before
    .filter(
      ({ failed: { body: one } }) =>
        one.operator === operator && one.site === body.site && one.side === body.side,
    )
    .reduce((sum, { failed }) => sum + failed.body.tries, 0);
  const attempt = { placing, at, by: operator, species: body.patient.species, site: body.site };
  return [
    ...times(Math.max(0, (body.tries ?? 1) - 1 - recordedBefore), { ...attempt, succeeded: false }),
    { ...attempt, succeeded: true },
  ];
}

function times(count: number, attempt: Attempt): Attempt[] {
  return Array.from({ length: count }, () => attempt);
}
