import { sameEntryMs } from '../domain/accept/recorded-already.ts';
import { checkTime, type Refusal } from '../domain/accept/refusal.ts';
import { animalsOf, namedHere } from '../domain/animal/animal.ts';
import { patientKey } from '../domain/patient/patient-key.ts';
import type { FailedTries } from '../domain/placing/failed-tries.ts';
import type { RecordedTries, WardState } from '../domain/ward/ward-state.ts';
import type { AppDeps } from './app-deps.ts';
import type { Intent } from './decide-drafts.ts';
import type { WardView } from './ports.ts';
import { recordOnWard } from './record-on-ward.ts';

/** What became of tries that somebody recorded. */
export type TriesResult =
  /** `number`: of the entry in the ward's log. */
  | { is: 'taken'; number: number; view: WardView }
  /** This very press or submit was written before. */
  | { is: 'repeat'; view: WardView }
  /** The same tries were recorded within a minute, by whoever was first. */
  | { is: 'already'; first: RecordedTries; view: WardView }
  | { is: 'refused'; refusal: Refusal; view: WardView };

/**
 * Takes tries that came to no line into the ward's own log; recorded at most a day late, as everything else is. They are of the
 * animal of that name and species that is here, else of a new one, whose the line is that comes after.
 */
export async function recordFailedTries(
  deps: AppDeps,
  intent: Intent,
  tries: FailedTries,
): Promise<TriesResult> {
  const now = deps.clock.now();
  const refusal = checkTime(intent.at ?? now, now);
  if (refusal) return { is: 'refused', refusal, view: await deps.record.readWard(intent.wardId) };
  const at = intent.at ?? now;
  const body = { ...tries, animal: tries.animal ?? (await whoseTries(deps, intent.wardId, tries, at)) };
  const result = await recordOnWard(
    deps,
    intent,
    { kind: 'triesFailed', body },
    () => [],
    (ward) => recordedBefore(ward, body, at) === undefined,
  );
  const { view } = result;
  const first = result.is === 'not taken' ? recordedBefore(view.ward, body, at) : undefined;
  if (first) return { is: 'already', first, view };
  return result.is === 'taken' ? { is: 'taken', number: view.ward.version, view } : { is: 'repeat', view };
}

async function whoseTries(
  { record, newId }: AppDeps,
  wardId: string,
  { patient }: FailedTries,
  at: number,
): Promise<string> {
  const [ward, placings] = await Promise.all([record.readWardState(wardId), record.readPlacings(wardId)]);
  const here = namedHere(placings, patient.name, at, ward.policy.newStayAfterDays);
  const animal =
    here && patientKey(here.patient) === patientKey(patient) && animalsOf(placings).get(here.line);
  return animal || (animalOfTries(ward, patient) ?? newId());
}

/** Whose the latest tries of the last day were that were recorded of an animal of this name and species. */
export function animalOfTries(
  { failedTries }: WardState,
  patient: FailedTries['patient'],
): string | undefined {
  return failedTries.findLast((one) => patientKey(one.patient) === patientKey(patient))?.animal;
}

/** Takes tries recorded in error out of account; false where they are not among those of the last day, or were struck before. */
export async function strikeFailedTries(deps: AppDeps, intent: Intent, target: number): Promise<boolean> {
  const result = await recordOnWard(
    deps,
    intent,
    { kind: 'triesStruck', body: { target } },
    () => [],
    (ward) => ward.failedTries.some(({ number }) => number === target),
  );
  return result.is === 'taken';
}

function recordedBefore(
  { failedTries }: WardState,
  body: FailedTries,
  at: number,
): RecordedTries | undefined {
  return failedTries.find(
    (one) =>
      Math.abs(one.at - at) <= sameEntryMs &&
      patientKey(one.patient) === patientKey(body.patient) &&
      one.site === body.site &&
      one.side === body.side &&
      one.operator === body.operator &&
      one.tries === body.tries,
  );
}
