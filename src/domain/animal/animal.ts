import type { Patient } from '../patient/patient.ts';
import { foldedName, patientKey } from '../patient/patient-key.ts';
import { longestGapDays, usualGapDays } from '../patient/stay.ts';
import { type Caution, cautions } from '../placing/screening.ts';
import type { LineState } from '../record/line-state.ts';
import { dayMs } from '../time.ts';

/**
 * Weights that differ by more than this factor are two animals', or a slip; fluid alone changes an animal's weight by far
 * less. Common practice, no source.
 */
export const weightsDifferBy = 1.5;

/** What of a line says whose it is. */
export interface Placing {
  line: string;
  /** Which animal it was recorded to be; null where nobody was asked. */
  animal: string | null;
  patient: Pick<Patient, 'name' | 'species' | 'weightKg'>;
  /** When it was placed and, once it is out, taken out, ms. */
  at: number;
  until: number | null;
  /** There is no such line: it was registered in error. */
  inError?: boolean;
}

/** What of a line says whose it is, by its own log. */
export function placingOf(line: LineState): Placing {
  const { name, species, weightKg } = line.animal?.own.patient ?? line.patient;
  return {
    line: line.id,
    animal: line.recordedAnimal,
    patient: { name, species, weightKg },
    at: line.placed.at,
    until: line.removed?.at ?? null,
    ...(line.inError ? { inError: true } : {}),
  };
}

/**
 * Whose each line is: the animal's id by the line's. What was recorded counts. Where nobody was asked, as in older records, it is
 * the animal of the latest other such line placed before it that has the name and species, is still in or came out at most
 * `usualGapDays` before, and had a like weight; else an animal of its own, which has the line's id.
 */
export function animalsOf(placings: readonly Placing[]): Map<string, string> {
  const animals = new Map<string, string>();
  const before = new Map<string, Placing[]>();
  const ordered = placings.toSorted((a, b) => a.at - b.at || (a.line < b.line ? -1 : 1));
  for (const placing of ordered) {
    if (placing.animal !== null) {
      animals.set(placing.line, placing.animal);
      continue;
    }
    const key = patientKey(placing.patient);
    const earlier = before.get(key) ?? [];
    if (!placing.inError) before.set(key, [...earlier, placing]);
    const same = earlier.findLast((one) => isSameStay(one, placing.at) && isLikeWeight(one, placing));
    animals.set(placing.line, (same && animals.get(same.line)) ?? placing.line);
  }
  return animals;
}

/** Whether a line placed at `at` (ms) is of the same stay as one that was there before it, where the animal is the same. */
export function isSameStay({ until }: Pick<Placing, 'until'>, at: number, days = usualGapDays): boolean {
  return until === null || at <= until + days * dayMs;
}

/** Whether two weights can be one animal's. */
export function isLikeWeight({ patient: a }: Placing, { patient: b }: Placing): boolean {
  return Math.max(a.weightKg, b.weightKg) <= weightsDifferBy * Math.min(a.weightKg, b.weightKg);
}

/**
 * The latest line of an animal that is called `name` and whose stay goes on at `at` (ms), whatever its species: whoever
 * registers a line under that name is asked whether they mean it. `days`: when the ward takes a stay to be over.
 */
export function namedHere(
  placings: readonly Placing[],
  name: string,
  at: number,
  days: number,
): Placing | undefined {
  return placings
    .toSorted((a, b) => a.at - b.at || (a.line < b.line ? -1 : 1))
    .findLast(
      (one) => !one.inError && foldedName(one.patient.name) === foldedName(name) && isSameStay(one, at, days),
    );
}

/** The lines that are the same animal's as one of `lines`, themselves not among them. */
export function otherLines(lines: readonly string[], animals: ReadonlyMap<string, string>): string[] {
  const wanted = new Set(lines.map((line) => animals.get(line)));
  return [...animals]
    .filter(([line, animal]) => wanted.has(animal) && !lines.includes(line))
    .map(([line]) => line);
}

/** What is about the artery or the limb, and no other line of the animal shares. */
const ofTheSite: readonly Caution[] = ['broken skin', 'no pulse or collateral flow'];

/** Whether a caution is about one artery alone. */
export function isOfTheSite(caution: Caution): boolean {
  return ofTheSite.includes(caution);
}

/**
 * A line with what counts for the whole animal taken from all its lines: name, species, weight and targets as recorded last, a
 * bleeding disorder and cautions found at any of them. `known`: the others, each as its own log has it; those registered in
 * error are none.
 */
export function ofAnimal(own: LineState, id: string, known: readonly LineState[]): LineState {
  const others = known.filter(({ inError }) => inError === null);
  if (others.length === 0) return own;
  const all = [own, ...others];
  const latest = all.reduce((last, one) => (isRecordedLater(one, last) ? one : last));
  const bleeds = all.some(({ patient }) => patient.bleeding === true);
  return {
    ...own,
    patient: { ...latest.patient, ...(bleeds ? { bleeding: true } : {}) },
    patientRecordedAt: latest.patientRecordedAt,
    screening: screeningOf(own, others),
    targets: targetsOf(all),
    animal: {
      id,
      others: [...others],
      own: {
        patient: own.patient,
        patientRecordedAt: own.patientRecordedAt,
        screening: own.screening,
        targets: own.targets,
      },
    },
  };
}

/** The targets set last, on whichever line. */
function targetsOf(lines: readonly LineState[]): LineState['targets'] {
  return lines.reduce<LineState['targets']>(
    (last, { targets }) => (targets && targets.at > (last?.at ?? 0) ? targets : last),
    null,
  );
}

/** The line on which its animal's targets were set: there they are ended. */
export function targetsLine(line: LineState): string {
  const { targets, animal } = line;
  if (!targets || !animal || animal.own.targets?.at === targets.at) return line.id;
  return animal.others.find((other) => other.targets?.at === targets.at)?.id ?? line.id;
}

/** Whether one line's patient was recorded after another's; of two recorded in one instant the same one counts on each line. */
function isRecordedLater(one: LineState, other: LineState): boolean {
  return (
    one.patientRecordedAt > other.patientRecordedAt ||
    (one.patientRecordedAt === other.patientRecordedAt && one.id > other.id)
  );
}

/** The line's own screening, with what was found of the animal at its other lines; whose decision it was stays the line's. */
function screeningOf({ screening }: LineState, others: readonly LineState[]): LineState['screening'] {
  const found = new Set(others.flatMap((one) => one.screening?.cautions ?? []));
  const all = cautions.filter(
    (caution) => screening?.cautions.includes(caution) || (found.has(caution) && !isOfTheSite(caution)),
  );
  return screening === null && all.length === 0 ? null : { ...screening, cautions: all };
}

/** A line as its own log has it, without what came from the animal's other lines. */
export function ownLine(line: LineState): LineState {
  if (!line.animal) return line;
  const { animal, ...rest } = line;
  return { ...rest, ...animal.own };
}

/** A line that changed, with what its animal's other lines say once more; `before`: as it was read. */
export function rejoined(after: LineState, { animal }: LineState): LineState {
  return animal ? ofAnimal(ownLine(after), animal.id, animal.others) : after;
}

/** Every line of a line's animal in this stay, as their own logs have them; itself first. */
export function linesOfAnimal(line: LineState): LineState[] {
  return [ownLine(line), ...(line.animal?.others ?? [])];
}

/**
 * Lines as they are with what their animals' other lines say. `placings`: of every line that may be one of these; `lines`
 * holds the other lines that are wanted.
 */
export function withAnimals(lines: readonly LineState[], placings: readonly Placing[]): LineState[] {
  const animals = animalsOf(placings);
  const byAnimal = Map.groupBy(lines, ({ id }) => animals.get(id) ?? id);
  return lines.map((line) => {
    const id = animals.get(line.id) ?? line.id;
    const others = (byAnimal.get(id) ?? []).filter((one) => one.id !== line.id);
    return ofAnimal(line, id, others);
  });
}

/**
 * Of the lines of a ward those whose animal may still be here at `now` (ms): on the list, or out for no longer than
 * `longestGapDays`, and every line of the same animal.
 */
export function stillHere(lines: readonly LineState[], listed: ReadonlySet<string>, now: number): Placing[] {
  const placings = lines.map(placingOf);
  const over = new Set(placingsOver(placings, listed, now));
  return placings.filter(({ line }) => !over.has(line));
}

/** The lines whose animal's stay is over for certain at `now` (ms): none is on the list, and the last came out long ago. */
export function placingsOver(
  placings: readonly Placing[],
  listed: ReadonlySet<string>,
  now: number,
): string[] {
  const animals = animalsOf(placings);
  const here = new Set(
    placings
      .filter((one) => listed.has(one.line) || isSameStay(one, now, longestGapDays))
      .map(({ line }) => animals.get(line)),
  );
  return placings.filter(({ line }) => !here.has(animals.get(line))).map(({ line }) => line);
}
