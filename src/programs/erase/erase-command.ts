import { readFile } from 'node:fs/promises';
import { parseArgs } from 'node:util';
import { silenceMs } from '../../app/signs-of-life.ts';
import { amountWords } from '../../export/amount-words.ts';
import { recordFile } from '../../export/record-lines.ts';
import { createLog } from '../../observe/log.ts';
import { eraseWard } from '../../redis/empty-ward.ts';
import { redisHeartbeat } from '../../redis/heartbeat.ts';
import { type OpenStore, openStore } from '../../redis/open-store.ts';
import { readWardCopy } from '../../redis/ward-copies.ts';
import { type CommandCall, CommandStop } from '../command-stop.ts';
import { readConfig } from '../config.ts';

const usage =
  'npm run erase -- --ward TEAM.CHANNEL FILE\n' +
  'FILE is an export of the ward (--format ndjson) that holds all there is now; without one, say --keep-nothing.\n' +
  'Stop the bot first. A ward with lines on its list is erased only with --lines-are-in.';

function words(given: readonly string[]) {
  try {
    const { values, positionals } = parseArgs({
      args: [...given],
      allowPositionals: true,
      options: {
        ward: { type: 'string' },
        'keep-nothing': { type: 'boolean', default: false },
        'lines-are-in': { type: 'boolean', default: false },
      },
    });
    const [file, ...more] = positionals;
    if (values.ward === undefined) throw new Error('Name a ward with --ward.');
    if ((file === undefined) !== values['keep-nothing'] || more.length > 0)
      throw new Error('Name one file, or say --keep-nothing.');
    return { wardId: values.ward, file, linesAreIn: values['lines-are-in'] };
  } catch (error) {
    throw new CommandStop(`${error instanceof Error ? error.message : String(error)}\n${usage}`, 2);
  }
}

/** All lines but the header, which says when it was written. */
function entriesIn(file: string): string {
  return file.slice(file.indexOf('\n') + 1);
}

async function assertErasable(
  { client }: OpenStore,
  { wardId, file, linesAreIn }: ReturnType<typeof words>,
): Promise<string> {
  const beat = await redisHeartbeat(client).last();
  if (beat !== null && Date.now() - beat.realMs < silenceMs)
    throw new CommandStop(
      'A bot runs on this record: stop it, wait 2 minutes, and try again. It would take the ward for one that lost its entries. Nothing was erased.',
      1,
    );
  const copy = await readWardCopy(client, wardId);
  if (copy === null) throw new CommandStop(`Ward ${wardId} holds nothing. Nothing was erased.`, 1);
  const listed = copy.lines.filter((line) => line.listed).length;
  if (listed > 0 && !linesAreIn)
    throw new CommandStop(
      `Ward ${wardId} has ${listed} ${listed === 1 ? 'line' : 'lines'} on its list: in, or out with a look at the limb to come. Nothing was erased. Say --lines-are-in to erase it all the same.`,
      1,
    );
  if (file !== undefined) {
    const kept = await readFile(file, 'utf8').catch(() => {
      throw new CommandStop(
        `${file} cannot be read: give the path of a file that is there. Nothing was erased.`,
        2,
      );
    });
    if (entriesIn(kept) !== entriesIn(recordFile(copy, Date.now())))
      throw new CommandStop(
        `${file} is not the record as it is now: export the ward again. Nothing was erased.`,
        1,
      );
  }
  return amountWords(copy);
}

/** `npm run erase`. */
export async function eraseCommand(call: CommandCall): Promise<void> {
  const wanted = words(call.words);
  const reading = readConfig(call.env);
  if (!reading.ok) throw new CommandStop(reading.problems.join('\n'), 2);
  const store = await openStore(reading.config, createLog({ level: 'silent', pretty: false }), {
    mustExist: true,
  });
  try {
    const held = await assertErasable(store, wanted);
    await eraseWard(store.client, wanted.wardId);
    call.stdout.write(
      `Erased: ${held}. What stands in the chat platform, in backups and in files stays until you delete it there.\n`,
    );
  } finally {
    await store.close();
  }
}
