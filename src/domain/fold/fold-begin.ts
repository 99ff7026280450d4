import { hasSide } from '../line/anatomy.ts';
import type { EntryOf } from '../record/entry.ts';
import type { Cause, Done, LineState } from '../record/line-state.ts';

/** A line as its placing alone has it. `patientRecordedAt`: when what is known of the animal was recorded last, ms. */
export function begin(
  id: string,
  entry: EntryOf<'placed'>,
  number: number,
  patientRecordedAt: number,
): LineState {
  const { body, at, by } = entry;
  const done: Done = { at, by, entry: number };
  const isSamplesOnly = body.transducer === false;
  const cause: Cause | null = isSamplesOnly ? null : { at, entry: number, why: 'placed' };
  return {
    ...nothingRecorded(),
    id,
    version: 1,
    latestAt: at,
    placed: done,
    knownSince: Math.max(at, entry.told),
    patient: body.patient,
    patientRecordedAt,
    recordedAnimal: body.animal ?? null,
    site: body.site,
    // An amended site may leave a side behind that the new one does not have.
    side: hasSide(body.site) ? (body.side ?? null) : null,
    gauge: body.gauge,
    indication: body.indication ?? null,
    operator: body.operator ?? null,
    tries: body.tries ?? null,
    screening: body.screening ?? null,
    nurse: body.nurse,
    nurseSince: Math.max(at, entry.told),
    // A capped line is flushed by hand, whatever was recorded.
    flushMode: isSamplesOnly ? 'manual' : body.flushMode,
    flushModeSince: at,
    source: body.source ? { ...body.source, asOf: at } : null,
    setSince: at,
    cappedSpells: isSamplesOnly ? [{ from: at, until: null }] : [],
    last: { placed: done },
    siteSeen: done,
    flushed: done,
    zeroCause: cause,
    testCause: cause,
  };
}

/** What a line's state holds of anything but its placing, before anything else is recorded. */
function nothingRecorded() {
  return {
    inError: null,
    amendedAt: null,
    plannedNurses: [],
    setAside: null,
    away: null,
    awaySpells: [],
    recent: {},
    level: null,
    openToAir: null,
    test: null,
    reading: null,
    targets: null,
    siteFinding: null,
    finding: null,
    findingGone: null,
    tipMissing: null,
    pulse: null,
    levelCause: null,
    flushCause: null,
    siteCause: null,
    redressCause: null,
    samples: [],
    lostMl: 0,
    handFlushes: [],
    flushedMl: 0,
    flushCount: 0,
    flushesWithoutVolume: 0,
    faults: [],
    faultLeft: null,
    faultLeftResolved: null,
    removed: null,
    pulsesAfterRemoval: [],
    holdFrom: null,
    heldAgainRecordedAt: null,
    holdEnded: null,
    marks: {},
    notes: [],
  } satisfies Partial<LineState>;
}
