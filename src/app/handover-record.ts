import { ofAnimal } from '../domain/animal/animal.ts';
import { foldLine } from '../domain/fold/fold-line.ts';
import { type ShiftHandover, shiftHandoverInParts } from '../domain/handover/shift-handover.ts';
import type { InParts } from '../domain/in-parts.ts';
import type { Entry } from '../domain/record/entry.ts';
import type { LineState } from '../domain/record/line-state.ts';
import { policyAtOf } from '../domain/ward/policy-at.ts';
import { foldWard } from '../domain/ward/ward-state.ts';
import type { Post, WardRecord } from './ports.ts';

/**
 * Handovers of a record that were worked out lately, the one asked for last at the end; what is kept never changes, see
 * `readHandover`. So many that a hundred wards of twenty lines change shift at once and each handover is worked out once, for all
 * its messages and for what is recorded while it stands.
 */
const kept = new WeakMap<WardRecord, Map<string, Kept>>();
const mostLinesKept = 2_000;
/** Logs read together: few, so that no part of the reckoning is long. */
const logsAtOnce = 8;

/** What is kept of one record is kept of the other too: the same record, reached in two ways. */
export function keepTogether(record: WardRecord, other: WardRecord): void {
  const mine = kept.get(record) ?? new Map<string, Kept>();
  kept.set(record, mine);
  kept.set(other, mine);
}

interface Kept {
  read: Promise<ShiftHandover>;
  lines: number;
}

/**
 * The handover that a post is about, from the logs as they were when it was made: each is cut at the entry that was its last
 * then. So every part of a handover, its picture and its paper are of one instant, whenever they are made, and a change that
 * comes between two parts shows in neither. `breath`: awaited before each part of the reckoning; what is kept needs none.
 */
export function readHandover(
  record: WardRecord,
  wardId: string,
  post: Post,
  breath: () => Promise<void> = async () => undefined,
): Promise<ShiftHandover> {
  const mine = kept.get(record) ?? new Map<string, Kept>();
  kept.set(record, mine);
  const key = JSON.stringify([wardId, post.at, post.about?.for, post.about?.versions]);
  const known = mine.get(key);
  mine.delete(key);
  const lines = Object.keys(post.about?.versions?.lines ?? post.lines).length;
  const one = known ?? { read: readAnew(record, wardId, post, breath), lines };
  mine.set(key, one);
  if (known) return known.read;
  // A failure is not kept.
  one.read.catch(() => mine.delete(key));
  let held = [...mine.values()].reduce((sum, { lines: its }) => sum + its, 0);
  for (const [old, { lines: its }] of mine) {
    if (held <= mostLinesKept || old === key) break;
    mine.delete(old);
    held -= its;
  }
  return one.read;
}

/** All of some reckoning, with a breath before each part of it. */
async function breathing<T>(parts: InParts<T>, breath: () => Promise<void>): Promise<T> {
  for (;;) {
    await breath();
    const part = parts.next();
    if (part.done) return part.value;
  }
}

async function readAnew(
  record: WardRecord,
  wardId: string,
  post: Post,
  breath: () => Promise<void>,
): Promise<ShiftHandover> {
  const { at, about } = post;
  const { versions } = about ?? {};
  const ids = versions ? Object.keys(versions.lines) : post.lines;
  const [wardLog, lines] = await Promise.all([record.readWardLog(wardId), record.readLines(wardId, ids)]);
  // A post of an older program says nothing of versions: what was recorded by its time is taken.
  const wardThen = versions ? wardLog.slice(0, versions.ward) : wardLog.filter(({ told }) => told <= at);
  const ward = foldWard(wardId, record.policyIfNone, wardThen);
  const logs = new Map<string, Entry[]>();
  for (let from = 0; from < lines.length; from += logsAtOnce) {
    await breath();
    const some = lines.slice(from, from + logsAtOnce);
    const read = await Promise.all(some.map(({ id }) => record.readLog(wardId, id)));
    for (const [index, { id }] of some.entries()) {
      const version = versions?.lines[id];
      const log = read[index] ?? [];
      logs.set(id, version === undefined ? log.filter(({ told }) => told <= at) : log.slice(0, version));
    }
  }
  const own = new Map<string, LineState>();
  for (const [id, log] of logs) {
    await breath();
    if (log.length > 0) own.set(id, foldLine(id, log));
  }
  const forMs = about?.for ?? at;
  const parts = shiftHandoverInParts(
    ward,
    lines.flatMap((line) => {
      const state = own.get(line.id);
      return state ? [{ line: joinedThen(state, line, own, at), log: logs.get(line.id) ?? [] }] : [];
    }),
    {
      atMs: at,
      handover: ward.handovers.find((one) => one.for === forMs) ?? { for: forMs, auto: false },
      policyAt: policyAtOf(wardThen, record.policyIfNone),
      wardLog: wardThen,
    },
  );
  return breathing(parts, breath);
}

/** A line as it was, with what its animal's other lines said then. One that is off the ward's list has said its last word. */
function joinedThen(
  own: LineState,
  { animal }: LineState,
  then: ReadonlyMap<string, LineState>,
  at: number,
): LineState {
  const others = (animal?.others ?? [])
    .filter(({ knownSince }) => knownSince <= at)
    .map((other) => then.get(other.id) ?? other);
  return animal ? ofAnimal(own, animal.id, others) : own;
}
