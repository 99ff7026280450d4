import { randomUUID } from 'node:crypto';
import { rename, rm, writeFile } from 'node:fs/promises';
import { pipeline } from 'node:stream/promises';
import { parseArgs } from 'node:util';
import { recordFormats } from '../../app/record-file.ts';
import { defaultPolicy } from '../../domain/policy/ward-policy.ts';
import { amountWords } from '../../export/amount-words.ts';
import { inLargerBytes, recordText } from '../../export/record-text.ts';
import { createLog } from '../../observe/log.ts';
import { wardsKey } from '../../redis/keys.ts';
import { openStore } from '../../redis/open-store.ts';
import { readWardCopy } from '../../redis/ward-copies.ts';
import { type CommandCall, CommandStop } from '../command-stop.ts';
import { readConfig } from '../config.ts';

const usage =
  'npm run export -- --ward TEAM.CHANNEL [--format ndjson|csv|fhir] [--bom] [--out FILE]\n' +
  'ndjson is the whole record and can be restored; csv is a table for a spreadsheet (--bom: with a byte order mark); fhir is an HL7 FHIR R4 bundle.\n' +
  'Without --out it goes to standard output. It holds patient data.';

function words(given: readonly string[]) {
  try {
    const { values } = parseArgs({
      args: [...given],
      options: {
        ward: { type: 'string' },
        format: { type: 'string', default: 'ndjson' },
        out: { type: 'string' },
        bom: { type: 'boolean', default: false },
      },
    });
    const format = recordFormats.find((one) => one === values.format);
    if (!format) throw new Error(`--format is ${values.format}: use one of ${recordFormats.join(', ')}.`);
    return { ...values, format };
  } catch (error) {
    throw new CommandStop(`${error instanceof Error ? error.message : String(error)}\n${usage}`, 2);
  }
}

/** Writes beside and then renames, so that a copy from before is whole until the new one is. */
async function writeWhole(file: string, content: Iterable<Uint8Array>): Promise<void> {
  const draft = `${file}.${randomUUID()}`;
  try {
    await writeFile(draft, content, { mode: 0o600, flush: true });
    await rename(draft, file);
  } catch (error) {
    await rm(draft, { force: true });
    const { code } = error as NodeJS.ErrnoException;
    if (code === undefined) throw error;
    throw new CommandStop(
      `${file} cannot be written (${code}): name a file in a folder this user may write to.`,
      1,
    );
  }
}

/** `npm run export`. */
export async function exportCommand(call: CommandCall): Promise<void> {
  const wanted = words(call.words);
  const reading = readConfig(call.env);
  if (!reading.ok) throw new CommandStop(reading.problems.join('\n'), 2);
  const { config } = reading;
  const log = createLog({ level: 'silent', pretty: false });
  const store = await openStore(config, log, { mustExist: true });
  try {
    const known = async () => {
      const ids = (await store.client.smembers(wardsKey)).toSorted();
      return ids.length === 0 ? 'There is no ward in this store.' : `Wards here: ${ids.join(', ')}.`;
    };
    if (wanted.ward === undefined)
      throw new CommandStop(`Name a ward with --ward. ${await known()}\n${usage}`, 2);
    const copy = await readWardCopy(store.client, wanted.ward);
    if (copy === null) throw new CommandStop(`Ward ${wanted.ward} holds nothing. ${await known()}`, 1);
    const content = inLargerBytes(
      recordText(copy, wanted.format, {
        policyIfNone: defaultPolicy(config.wardZone),
        now: Date.now(),
        bom: wanted.bom,
      }),
    );
    if (wanted.out === undefined) {
      await pipeline(content, call.stdout, { end: false });
      return;
    }
    await writeWhole(wanted.out, content);
    call.stderr.write(`${wanted.out}: ${amountWords(copy)}.\n`);
  } finally {
    await store.close();
  }
}
