import type { Change, WardRecord } from '../../src/app/ports.ts';
import { RecordUnavailable } from '../../src/app/record-unavailable.ts';
import type { Weather } from './weather.ts';
import { type Fate, type Life, overWire, type Wire } from './wire.ts';

/** How long a caller of the record waits for its answer, ms, as `commandOptions` has it. */
const patienceMs = 2_000;

export function fateOfCommand({ chance }: Wire, { rates }: Weather, writes: boolean): Fate {
  if (chance.happens(rates.dies)) return { is: chance.happens(0.5) ? 'dies before' : 'dies after' };
  if (chance.happens(rates.storeLost)) {
    if (writes && chance.happens(0.5))
      return { is: 'unheard', error: new RecordUnavailable('answer lost', true) };
    const sent = writes && chance.happens(0.5);
    return { is: 'lost', error: new RecordUnavailable(sent ? 'timed out' : 'ECONNREFUSED', sent) };
  }
  if (writes && chance.happens(rates.storeLate)) {
    const lateMs = chance.between(0, 2 * patienceMs);
    return { is: 'done late', lateMs, error: new RecordUnavailable('timed out', true) };
  }
  return { is: 'done' };
}

/** The record as one process reaches it. */
export function storeWire(wire: Wire, weather: Weather, life: Life, record: WardRecord): WardRecord {
  const over = <T>(writes: boolean, what: string, doing: () => Promise<T>) =>
    overWire(wire, life, 'store', what, fateOfCommand(wire, weather, writes), doing);
  const reads = <T>(what: string, doing: () => Promise<T>) => over(false, what, doing);
  const writes = <T>(what: string, doing: () => Promise<T>) => over(true, what, doing);
  return {
    policyIfNone: record.policyIfNone,
    readWard: (ward) => reads(`read ${ward}`, () => record.readWard(ward)),
    readWardState: (ward) => reads(`read state of ${ward}`, () => record.readWardState(ward)),
    readLine: (ward, line) => reads(`read ${line}`, () => record.readLine(ward, line)),
    readLines: (ward, lines) => reads(`read ${lines.join(' ')}`, () => record.readLines(ward, lines)),
    readPlacings: (ward) => reads(`read placings of ${ward}`, () => record.readPlacings(ward)),
    readLog: (ward, line) => reads(`read log of ${line}`, () => record.readLog(ward, line)),
    readWardLog: (ward) => reads(`read log of ${ward}`, () => record.readWardLog(ward)),
    readCopy: (ward) => reads(`copy ${ward}`, () => record.readCopy(ward)),
    commit: (ward, change) => writes(changeWords(ward, change), () => record.commit(ward, change)),
    wardIds: () => reads('read wards', () => record.wardIds()),
    nextWake: (ward) => reads(`next wake-up of ${ward}`, () => record.nextWake(ward)),
    dueNow: (ward, now) => reads(`what is due on ${ward}`, () => record.dueNow(ward, now)),
    repairWakes: (ward, wakes) => writes(`repair ${ward}`, () => record.repairWakes(ward, wakes)),
    takePost: (ward, now) => writes(`take a post of ${ward}`, () => record.takePost(ward, now)),
    postTrying: (ward, key, now) => writes(`trying ${key}`, () => record.postTrying(ward, key, now)),
    postDone: (ward, key, sent, settled, againAt) =>
      writes(`post done ${key}${settled ? ', settled' : ''}`, () =>
        record.postDone(ward, key, sent, settled, againAt),
      ),
    postAgain: (ward, key, at) => writes(`post again ${key}`, () => record.postAgain(ward, key, at)),
    postLeft: (ward, key) => writes(`post left ${key}`, () => record.postLeft(ward, key)),
    readPost: (ward, key) => reads(`read post ${key}`, () => record.readPost(ward, key)),
  };
}

function changeWords(wardId: string, { once, lines, ward, posts }: Change): string {
  const told = [...lines, ...(ward ? [{ id: 'ward', entries: ward.entries }] : [])].flatMap(
    ({ id, entries }) => entries.map((entry) => `${id} ${entry.kind}`),
  );
  const asked = posts.map(({ key }) => `+${key}`);
  return ['commit', wardId, once ? `(${once})` : '', ...told, ...asked].filter(Boolean).join(' ');
}
