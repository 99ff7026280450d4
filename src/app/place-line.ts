import { sameEntryMs } from '../domain/accept/recorded-already.ts';
import { checkTime, placingBackDateMs, type Refusal } from '../domain/accept/refusal.ts';
import {
  animalsOf,
  namedHere,
  ofAnimal,
  ownLine,
  type Placing,
  placingsOver,
} from '../domain/animal/animal.ts';
import { owedLines } from '../domain/duties/duties-of-line.ts';
import { foldLine } from '../domain/fold/fold-line.ts';
import { lineWakeAt, wardWakeAt } from '../domain/ladder/plan-wake.ts';
import { foldedName, patientKey } from '../domain/patient/patient-key.ts';
import type { DraftOf, EntryOf } from '../domain/record/entry.ts';
import type { LineState } from '../domain/record/line-state.ts';
import { overrideFault } from '../domain/ward/override.ts';
import type { WardState } from '../domain/ward/ward-state.ts';
import type { AppDeps } from './app-deps.ts';
import { callFor } from './call-for.ts';
import type { Intent } from './decide-drafts.ts';
import type { Change, WardRecord, WardView } from './ports.ts';
import { animalOfTries } from './record-failed-tries.ts';
import { decidedPosts } from './screening-posts.ts';

type PlacedBody = DraftOf<'placed'>['body'];

/** What became of a line that somebody wanted to register. */
export type Placed =
  | { is: 'placed'; line: LineState; ward: WardState }
  /** The same line was registered just now: by anybody in the last minute, or by the same person a little longer ago. */
  | { is: 'already'; line: LineState; ward: WardState }
  /** The patient has a line in this very artery, or one that has its name. */
  | { is: 'occupied'; line: LineState; ward: WardState }
  /** An animal of that name is here: the same, or another? Nothing was registered. */
  | { is: 'whose'; line: LineState; ward: WardState }
  | { is: 'refused'; refusal: Refusal; ward: WardState };

/** A form that got no answer is pressed again by the same person within this, and means the same line. */
const pressedAgainMs = 15 * 60_000;

/** Registers a line: begins its log, sets its first wake-up, and asks for its card. */
export async function placeLine(
  deps: AppDeps,
  intent: Intent,
  body: PlacedBody,
  attempt = 1,
): Promise<Placed> {
  const { record, clock, alarm, watch } = deps;
  const { wardId } = intent;
  const now = clock.now();
  const at = intent.at ?? now;
  const [{ ward, lines }, placings] = await Promise.all([
    record.readWard(wardId),
    record.readPlacings(wardId),
  ]);
  const against = whatSpeaksAgainst({ ward, lines }, intent.by, body, at, now);
  if (against) return against;
  const here = namedHere(placings, body.patient.name, at, ward.policy.newStayAfterDays);
  if (body.animal === undefined && here) {
    const line = await record.readLine(wardId, here.line);
    if (line) return { is: 'whose', line, ward };
  }
  const id = deps.newId();
  // Tries of the last day that came to none are its own.
  const animal = body.animal ?? animalOfTries(ward, body.patient) ?? id;
  const { by, via } = intent;
  const entry: EntryOf<'placed'> = { kind: 'placed', body: { ...body, animal }, at, told: now, by, via };
  const others = await othersOf(record, wardId, placings, animal);
  const line = ofAnimal(foldLine(id, [entry]), animal, others);
  const change = placingChange({ ward, lines }, placings, { line, entry, others }, now);
  const committed = await record.commit(wardId, change);
  if (committed.is !== 'written') {
    if (attempt >= 3) throw new Error('a placing was recorded before but its line is not on the list');
    return placeLine(deps, intent, body, attempt + 1);
  }
  watch.entryAccepted('placed');
  if (owedLines(lines, ward.policy, now).length === 0) deps.firstLineIn?.(wardId);
  await callFor(alarm, wardId, committed.armed);
  return { is: 'placed', line, ward };
}

/** Why a line isn't registered, as the ward is now; null where nothing speaks against it. */
function whatSpeaksAgainst(
  { ward, lines }: WardView,
  by: string,
  body: PlacedBody,
  at: number,
  now: number,
): Placed | null {
  const refusal = checkTime(at, now, placingBackDateMs);
  if (refusal) return { is: 'refused', refusal, ward };
  if (body.screening && overrideFault(ward, body.screening, now) !== null)
    return { is: 'refused', refusal: { because: 'clinician only' }, ward };
  const there = lines.find((line) => !line.removed && isSameArtery(line, body));
  if (!there) return null;
  const withinMs = there.placed.by === by ? pressedAgainMs : sameEntryMs;
  const fresh = Math.abs(there.placed.at - at) <= withinMs;
  // A species that differs is a slip or another animal, and either way not what was registered.
  const isSame = patientKey(there.patient) === patientKey(body.patient);
  return { is: fresh && isSame ? 'already' : 'occupied', line: there, ward };
}

/** What is written down: the new line, and its animal's other lines, which say what is known of it as well. */
function placingChange(
  { ward, lines }: WardView,
  placings: readonly Placing[],
  { line, entry, others }: { line: LineState; entry: EntryOf<'placed'>; others: readonly LineState[] },
  now: number,
): Change {
  const { id } = line;
  const listed = new Set(lines.map((one) => one.id));
  const sides = others.filter((one) => listed.has(one.id));
  return {
    // Two people at two phones in the same minute: the slower finds the key taken and then the line there.
    once: placingKey(entry.body, now, placings),
    lines: [
      { id, expected: 0, entries: [entry], after: line, listed: true },
      ...sides.map((one) => ({
        id: one.id,
        expected: one.version,
        entries: [],
        after: one,
        listed: true,
        touch: true,
      })),
    ],
    forget: placingsOver(placings, listed, now).filter((one) => !others.some((other) => other.id === one)),
    ward: { expected: ward.version, entries: [], after: ward },
    wakes: { [id]: lineWakeAt(line, ward, now), ward: wardWakeAt(ward, [...lines, line], now) },
    posts: [
      { key: `9.card.${id}`, kind: 'card', to: 'ward', lines: [id], asked: [], at: now },
      ...decidedPosts(id, entry.body.screening, entry.by, now),
    ],
  };
}

/** The other lines of an animal, each as its own log has it. */
async function othersOf(
  record: WardRecord,
  wardId: string,
  placings: readonly Placing[],
  animal: string,
): Promise<LineState[]> {
  const animals = animalsOf(placings);
  const ids = placings.map(({ line }) => line).filter((line) => animals.get(line) === animal);
  return (await record.readLines(wardId, ids)).map(ownLine);
}

function isSameArtery(line: LineState, { patient, site, side }: PlacedBody): boolean {
  return (
    foldedName(line.patient.name) === foldedName(patient.name) &&
    line.site === site &&
    line.side === (side ?? null)
  );
}

/** One line of one artery in one minute; registered in error, it may be registered anew at once. */
function placingKey({ patient, site, side }: PlacedBody, now: number, placings: readonly Placing[]): string {
  const name = foldedName(patient.name);
  const inError = placings.filter((one) => one.inError && foldedName(one.patient.name) === name).length;
  const minute = Math.floor(now / sameEntryMs);
  return `place|${name}|${site}|${side ?? ''}|${minute}${inError === 0 ? '' : `|${inError}`}`;
}
