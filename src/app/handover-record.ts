import { type ShiftHandover, shiftHandover } from '../domain/handover/shift-handover.ts';
import { ofAnimal } from '../domain/patient/animal.ts';
import { foldLine } from '../domain/record/fold-line.ts';
import type { LineState } from '../domain/record/line-state.ts';
import { policyAtOf } from '../domain/ward/policy-at.ts';
import { foldWard } from '../domain/ward/ward-state.ts';
import type { Post, WardRecord } from './ports.ts';

/** Handovers of a record that were worked out lately; what is kept never changes, see `readHandover`. */
const kept = new WeakMap<WardRecord, Map<string, Promise<ShiftHandover>>>();
const mostKept = 8;

/**
 * The handover that a post is about, from the logs as they were when it was made: each is cut at the entry that was its last
 * then. So every part of a handover, its picture and its paper are of one instant, whenever they are made, and a change that
 * comes between two parts shows in neither.
 */
export function readHandover(record: WardRecord, wardId: string, post: Post): Promise<ShiftHandover> {
  const mine = kept.get(record) ?? new Map<string, Promise<ShiftHandover>>();
  kept.set(record, mine);
  const key = JSON.stringify([wardId, post.at, post.about?.for, post.about?.versions]);
  const known = mine.get(key);
  if (known) return known;
  const read = readAnew(record, wardId, post);
  mine.set(key, read);
  // A failure is not kept.
  read.catch(() => mine.delete(key));
  for (const old of [...mine.keys()].slice(0, -mostKept)) mine.delete(old);
  return read;
}

async function readAnew(record: WardRecord, wardId: string, post: Post): Promise<ShiftHandover> {
  const { at, about } = post;
  const { versions } = about ?? {};
  const ids = versions ? Object.keys(versions.lines) : post.lines;
  const [wardLog, lines] = await Promise.all([record.readWardLog(wardId), record.readLines(wardId, ids)]);
  // A post of an older program says nothing of versions: what was told by its time is taken.
  const wardThen = versions ? wardLog.slice(0, versions.ward) : wardLog.filter(({ told }) => told <= at);
  const ward = foldWard(wardId, record.policyIfNone, wardThen);
  const logs = new Map(
    await Promise.all(
      lines.map(async ({ id }) => {
        const log = await record.readLog(wardId, id);
        const version = versions?.lines[id];
        return [
          id,
          version === undefined ? log.filter(({ told }) => told <= at) : log.slice(0, version),
        ] as const;
      }),
    ),
  );
  const own = new Map(
    [...logs].flatMap(([id, log]) => (log.length > 0 ? [[id, foldLine(id, log)] as const] : [])),
  );
  const forMs = about?.for ?? at;
  return shiftHandover(
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
