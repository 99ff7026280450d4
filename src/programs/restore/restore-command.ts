import { readFile } from 'node:fs/promises';
import { parseArgs } from 'node:util';
import { defaultPolicy } from '../../domain/policy/ward-policy.ts';
import { amountWords } from '../../export/amount-words.ts';
import { roundTrip } from '../../export/round-trip.ts';
import { createLog } from '../../observe/log.ts';
import { assertRedisFit } from '../../redis/assert-redis-fit.ts';
import { openStore } from '../../redis/open-store.ts';
import { writeWardCopy } from '../../redis/ward-copies.ts';
import { type CommandCall, CommandStop } from '../command-stop.ts';
import { readConfig } from '../config.ts';

const usage =
  'npm run restore -- [--check] FILE\n' +
  'FILE is an export with --format ndjson. Its ward must hold nothing. --check proves the file and writes nothing.';

function words(given: readonly string[]) {
  try {
    const { values, positionals } = parseArgs({
      args: [...given],
      allowPositionals: true,
      options: { check: { type: 'boolean', default: false } },
    });
    const [file, ...more] = positionals;
    if (file === undefined || more.length > 0) throw new Error('Name one file.');
    return { file, check: values.check };
  } catch (error) {
    throw new CommandStop(`${error instanceof Error ? error.message : String(error)}\n${usage}`, 2);
  }
}

async function contentOf(file: string): Promise<string> {
  try {
    return new TextDecoder('utf-8', { fatal: true, ignoreBOM: true }).decode(await readFile(file));
  } catch (error) {
    if (error instanceof TypeError)
      throw new CommandStop(`${file} is not UTF-8: it is no export, or damaged.`, 1);
    throw new CommandStop(`${file} cannot be read: give the path of a file that is there.\n${usage}`, 2);
  }
}

/** `npm run restore`. */
export async function restoreCommand(call: CommandCall): Promise<void> {
  const { file, check } = words(call.words);
  const reading = readConfig(call.env);
  if (!reading.ok) throw new CommandStop(reading.problems.join('\n'), 2);
  const { config } = reading;
  const policy = defaultPolicy(config.wardZone);

  const proof = roundTrip(await contentOf(file), policy);
  if (proof.is === 'refused')
    throw new CommandStop(`${file}, line ${proof.line}: ${proof.why}. Nothing was restored.`, 1);
  if (proof.is === 'different')
    throw new CommandStop(`${file} would not come back as it is: ${proof.what}. Nothing was restored.`, 1);
  const { copy } = proof;
  const held = amountWords(copy);
  const filled =
    proof.earlier === 0
      ? ''
      : ` An earlier version wrote it: in ${proof.earlier === 1 ? '1 line' : `${proof.earlier} lines`} what came later is set to its default.`;
  if (check) {
    call.stdout.write(
      `${file} is whole: ${held}.${filled} Read and written again it is the same, byte for byte, with the same states and the same ${proof.duties} open duties.\n`,
    );
    return;
  }

  const log = createLog({ level: 'silent', pretty: false });
  const store = await openStore(config, log, { mustExist: false });
  try {
    // A store that the bot would refuse must not get a record to lose.
    if (config.redisUrl !== null) await assertRedisFit(store.client, { copies: config.redisCopies });
    const outcome = await writeWardCopy(store.client, copy, policy, Date.now());
    if (outcome === 'holds something')
      throw new CommandStop(
        `Ward ${copy.wardId} holds something already: a record is only restored into an empty ward. Nothing was changed. Use another DATA_DIR or REDIS_URL, or move the old record aside.`,
        1,
      );
    call.stdout.write(`Restored: ${held}.${filled} The bot posts the cards anew and tells what is due.\n`);
  } finally {
    await store.close();
  }
}
