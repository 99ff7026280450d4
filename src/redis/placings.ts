import { z } from 'zod';
import { type Placing, stillHere } from '../domain/animal/animal.ts';
import { speciesList } from '../domain/patient/species.ts';
import { wardKeys } from './keys.ts';
import { reach } from './reach.ts';
import type { RecordClient } from './script.ts';
import type { Snapshots } from './snapshots.ts';
import { lineIdsOf } from './ward-keys-found.ts';

/** The field that says that every line placed so far was looked at; no line is called so. */
const allIn = '#';
/** Lines read in one step where all of a ward are looked at. */
const linesAtOnce = 100;

const storedSchema = z
  .tuple([
    z.string().nullable(),
    z.string(),
    z.enum(speciesList),
    z.number(),
    z.number(),
    z.number().nullable(),
  ])
  .rest(z.literal('in error'));

/**
 * The stored form of whose a line is: `[animal, name, species, kg, at, until]`, and `in error` behind it where it was
 * registered in error; times in ms. A cache of its log.
 */
export function encodePlacing({ animal, patient, at, until, inError }: Placing): string {
  const stored = [animal, patient.name, patient.species, patient.weightKg, at, until];
  return JSON.stringify(inError ? [...stored, 'in error'] : stored);
}

/** What the hash of a ward's placings holds when it is complete: fields and values by turns. */
export function placingsAsStored(placings: readonly Placing[]): string[] {
  return [allIn, '1', ...placings.flatMap((placing) => [placing.line, encodePlacing(placing)])];
}

/**
 * Whose the lines of a ward are. Lines that were placed before there was this hash, or that it has in another form, are
 * looked at once, and then stand in it.
 */
export async function readPlacings(
  client: RecordClient,
  states: Snapshots,
  wardId: string,
): Promise<Placing[]> {
  const keys = wardKeys(wardId);
  const stored = await reach('reads', () => client.hgetall(keys.placings));
  const read = Object.entries(stored)
    .filter(([line]) => line !== allIn)
    .map(([line, text]) => decodePlacing(line, text));
  const known = read.filter((placing) => placing !== null);
  if (allIn in stored && known.length === read.length) return known;
  const ids = await lineIdsOf(client, wardId);
  if (ids.length === 0) return [];
  const lines = [];
  for (let from = 0; from < ids.length; from += linesAtOnce)
    lines.push(...(await states.readLines(keys, wardId, ids.slice(from, from + linesAtOnce))));
  const listed = new Set(await reach('reads', () => client.smembers(keys.lines)));
  const latest = Math.max(...lines.map(({ latestAt }) => latestAt));
  const placings = stillHere(lines, listed, latest);
  // Best effort: what could not be kept is looked at again at the next reading.
  const keep = client.multi();
  for (const [line] of Object.entries(stored).filter(([line]) => !known.some((one) => one.line === line)))
    keep.hdel(keys.placings, line);
  // A line that was told of meanwhile stands there already, newer than it was read.
  for (const placing of placings) keep.hsetnx(keys.placings, placing.line, encodePlacing(placing));
  keep
    .hset(keys.placings, allIn, '1')
    .exec()
    .catch(() => {});
  return placings;
}

/**
 * Says of a new ward that there are no lines to look for, which takes a look at every key of the server: fine once for a ward of an
 * older version, not for each of a thousand new ones. A ward that has anything is left as it is.
 */
export async function nothingPlacedYet(client: RecordClient, wardId: string): Promise<void> {
  const { due, lines, placings, wardLog, ward, out, sent, lanes } = wardKeys(wardId);
  const any = [due, lines, placings, wardLog, ward, out, sent, lanes];
  if ((await reach('reads', () => client.exists(...any))) > 0) return;
  await reach('writes', () => client.hset(placings, allIn, '1'));
}

function decodePlacing(line: string, text: string): Placing | null {
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch {
    return null;
  }
  const read = storedSchema.safeParse(value);
  if (!read.success) return null;
  const [animal, name, species, weightKg, at, until, inError] = read.data;
  const placing = { line, animal, patient: { name, species, weightKg }, at, until };
  return inError ? { ...placing, inError: true } : placing;
}
