import type { z } from 'zod';
import { type Entry, type EntryHead, type EntryKind, entrySchema } from '../domain/record/entry.ts';
import { type WardEntry, type WardEntryKind, wardEntrySchema } from '../domain/ward/ward-entry.ts';

/** What each kind is called in the stored log. A code that was ever stored is never given to another kind. */
const entryCodes: Record<EntryKind, string> = {
  placed: 'pl',
  zeroed: 'ze',
  levelled: 'le',
  fastFlushTested: 'te',
  flushed: 'fl',
  flushModeChanged: 'mo',
  sourceChanged: 'so',
  sourceChecked: 'sc',
  redressed: 're',
  siteChecked: 'si',
  sampled: 'sa',
  reading: 'rd',
  disturbed: 'di',
  transducerJoined: 'tj',
  capped: 'cp',
  leftWard: 'lw',
  arrived: 'ar',
  returned: 'bk',
  faultOpened: 'fo',
  faultStep: 'fs',
  faultClosed: 'fc',
  assigned: 'as',
  claimed: 'cl',
  snoozed: 'sn',
  waived: 'wa',
  targetsSet: 'tg',
  targetsEnded: 'tx',
  amended: 'am',
  noted: 'no',
  removed: 'rm',
  pulseChecked: 'pu',
  holdEnded: 'ho',
  nudged: 'nu',
  escalated: 'es',
};

const wardEntryCodes: Record<WardEntryKind, string> = {
  policySet: 'po',
  onCallSet: 'oc',
  handedOver: 'ha',
  handoverAccepted: 'hk',
  handoverNudged: 'hn',
  wasDown: 'wd',
  commandsLost: 'cx',
  commandsBack: 'cb',
  triesFailed: 'tf',
  triesStruck: 'ts',
  coverSet: 'co',
  coverTold: 'ct',
  takenBack: 'tb',
  audited: 'au',
  channelShut: 'cs',
  channelOpened: 'cr',
  channelTold: 'cw',
  unreached: 'ur',
};

const viaCodes: Record<EntryHead['via'], string> = { command: 'c', button: 'b', form: 'f', bot: 'o' };

/** Thrown when a stored entry is not one of ours: somebody else wrote to this Redis, or an older program reads it. */
export class UnreadableEntryError extends Error {
  constructor(where: string, cause: unknown) {
    const why = cause instanceof Error ? cause.message : String(cause);
    super(
      `${where} of the stored log cannot be read (${why}). Nothing was changed: use the program version that wrote it, or put Redis back from a copy.`,
      { cause },
    );
    this.name = 'UnreadableEntryError';
  }
}

/**
 * The stored form of a line's entry: `[kind, at, told − at, by, surface, body]`, all times in ms. Throws on an entry that
 * could not be read again, so that none ever gets into a log.
 */
export function encodeEntry(entry: Entry): string {
  return encode(entryCodes[entry.kind], entrySchema.parse(entry));
}

/** The entry of a stored form; `where` names ward, line and entry number. Throws `UnreadableEntryError`. */
export function decodeEntry(text: string, where: string): Entry {
  return decode(text, kindsByEntryCode, entrySchema, where);
}

/** The stored form of a ward's own entry. */
export function encodeWardEntry(entry: WardEntry): string {
  return encode(wardEntryCodes[entry.kind], wardEntrySchema.parse(entry));
}

/** The ward's own entry of a stored form; `where` names ward and entry number. Throws `UnreadableEntryError`. */
export function decodeWardEntry(text: string, where: string): WardEntry {
  return decode(text, kindsByWardEntryCode, wardEntrySchema, where);
}

const kindsByEntryCode = inverted(entryCodes);
const kindsByWardEntryCode = inverted(wardEntryCodes);
const viaByCode = inverted(viaCodes);

function inverted<K extends string>(codes: Record<K, string>): ReadonlyMap<unknown, K> {
  return new Map((Object.entries(codes) as [K, string][]).map(([name, code]) => [code, name]));
}

function encode(code: string, entry: EntryHead & { body: object }): string {
  return JSON.stringify([code, entry.at, entry.told - entry.at, entry.by, viaCodes[entry.via], entry.body]);
}

function decode<T>(
  text: string,
  kinds: ReadonlyMap<unknown, string>,
  schema: z.ZodType<T>,
  where: string,
): T {
  try {
    const stored: unknown = JSON.parse(text);
    if (!Array.isArray(stored) || stored.length !== 6) throw new Error('six values are expected');
    const [code, at, toldAfterMs, by, via, body]: unknown[] = stored;
    const kind = kinds.get(code);
    if (kind === undefined) throw new Error(`its kind ${JSON.stringify(code)} is unknown`);
    if (typeof at !== 'number' || typeof toldAfterMs !== 'number')
      throw new Error('its times are no numbers');
    return schema.parse({ kind, at, told: at + toldAfterMs, by, via: viaByCode.get(via), body });
  } catch (cause) {
    throw new UnreadableEntryError(where, cause);
  }
}
