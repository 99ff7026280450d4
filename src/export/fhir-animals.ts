import { animalsOf, placingOf } from '../domain/animal/animal.ts';
import type { Patient } from '../domain/patient/patient.ts';
import { patientKey } from '../domain/patient/patient-key.ts';
import { usualGapDays } from '../domain/patient/stay.ts';
import type { LineState } from '../domain/record/line-state.ts';
import type { WardEntry } from '../domain/ward/ward-entry.ts';

const gapMs = usualGapDays * 24 * 3_600_000;

/** The animals of a ward, each once, and whose each line and each report of failed tries is. */
export interface AnimalsOfWard {
  /** `lines`: its first line, or the report of tries where it has none. `inError`: every line of it was registered in error. */
  animals: {
    id: string;
    patient: Pick<Patient, 'name' | 'species' | 'speciesName'>;
    lines: string;
    inError: boolean;
  }[];
  ofLine: (line: string) => string;
  /** By the number of the entry in the ward's log. */
  ofTries: (number: number) => string;
}

/**
 * Tries that came to no line are of the animal they were recorded of; older ones of the animal of their name and species that had a line in that stay, or of one that had
 * other tries within the days of a stay; else of an animal of their own.
 */
export function animalsOfWard(
  states: readonly LineState[],
  wardEntries: readonly WardEntry[],
): AnimalsOfWard {
  const ofLine = animalsOf(states.map(placingOf));
  const animals = new Map<string, AnimalsOfWard['animals'][number] & { told: number }>();
  /** When the animals of a name were here, ms. */
  const here: { key: string; id: string; from: number; to: number }[] = [];
  for (const state of states) {
    const id = ofLine.get(state.id) ?? state.id;
    const known = animals.get(id);
    if (state.inError && known && !known.inError) continue;
    const isLatest = known?.inError === true || state.patientRecordedAt >= (known?.told ?? 0);
    animals.set(id, {
      id,
      lines: known?.lines ?? state.id,
      patient: known && !isLatest ? known.patient : state.patient,
      told: Math.max(state.patientRecordedAt, known?.told ?? 0),
      inError: state.inError !== null,
    });
    if (state.inError) continue;
    const to = state.removed?.at ?? Number.POSITIVE_INFINITY;
    here.push({ key: patientKey(state.patient), id, from: state.placed.at, to });
  }
  const struck = new Set(
    wardEntries.flatMap(({ kind, body }) => (kind === 'triesStruck' ? [body.target] : [])),
  );
  const ofTries = new Map<number, string>();
  for (const [index, entry] of wardEntries.entries()) {
    if (entry.kind !== 'triesFailed' || struck.has(index + 1)) continue;
    const { patient } = entry.body;
    const key = patientKey(patient);
    const stay = here.find(
      (one) => one.key === key && entry.at >= one.from - gapMs && entry.at <= one.to + gapMs,
    );
    const id = entry.body.animal ?? stay?.id ?? `tries ${index + 1}`;
    ofTries.set(index + 1, id);
    if (animals.has(id)) continue;
    animals.set(id, { id, patient, lines: `tries-${index + 1}`, told: 0, inError: false });
    here.push({ key, id, from: entry.at, to: entry.at });
  }
  return {
    animals: [...animals.values()],
    ofLine: (line) => ofLine.get(line) ?? line,
    ofTries: (number) => ofTries.get(number) ?? `tries ${number}`,
  };
}
