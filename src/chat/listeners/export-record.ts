import { type RecordFormat, recordFormats } from '../../app/record-file.ts';
import type { WardCopy } from '../../app/ward-copy.ts';
import { wallClockWithDay } from '../../domain/shifts/wall-clock.ts';
import { counted } from '../../wording/audit/figure-text.ts';
import { place } from '../../wording/rich-text.ts';
import { type Bot, type Caller, openView } from '../bot.ts';
import { exportForm, formatWords, keepItWords } from '../forms/export-form.ts';
import { mayRecord } from '../membership.ts';
import { excerpt } from '../typed/clean-text.ts';
import { foldWord, wordsOf } from '../typed/fold-words.ts';
import { nearestWord } from '../typed/nearest-word.ts';
import { channelOf } from '../ward-id.ts';

/** After this many ms somebody who waits for a file hears that it is being made. */
const sayAfterMs = 2_000;

const endings: Readonly<Record<RecordFormat, string>> = { ndjson: 'ndjson', csv: 'csv', fhir: 'json' };

/** Without words the form; with the name of a format that file at once. */
export async function exportCommand(bot: Bot, caller: Caller, rest: string): Promise<void> {
  const typed = wordsOf(rest);
  if (typed.length === 0) return openView(bot, caller, exportForm(caller.wardId));
  const word = foldWord(typed[0] ?? '');
  const format = recordFormats.find((one) => one === word);
  if (format !== undefined && typed.length === 1) return exportRecord(bot, caller, format);
  const near = nearestWord(word, recordFormats);
  const guess = format ?? near;
  return caller.say(
    `Nothing was exported: “${excerpt(rest)}” is not a format. Write csv, ndjson or fhir${guess === undefined ? '' : `, for example ${bot.command} export ${guess}`}; ${bot.command} export alone says what each is for.`,
  );
}

/** Sends the ward's whole record to the caller by direct message, and says where it is. */
export async function exportRecord(bot: Bot, caller: Caller, format: RecordFormat): Promise<void> {
  const { record, clock, watch } = bot.deps;
  const ward = await record.readWardState(caller.wardId);
  // Every patient of the ward is in the file: whoever left the channel a moment ago is not taken for being in it.
  const isTheirs = await mayRecord(bot.membership, ward, caller.user, clock.now(), 'afresh').catch(
    () => null,
  );
  if (isTheirs === null) {
    return caller.say(
      'Nothing was exported: the chat platform did not say whether you are in this ward’s channel. Try again in a minute.',
    );
  }
  if (!isTheirs) {
    return caller.say(
      'You are not in this ward’s channel, so nothing was exported. Join the channel, or ask somebody on the ward.',
    );
  }
  const slow = setTimeout(() => {
    void caller
      .say('The record is being written. It comes to you by direct message; you need not wait here.')
      .catch((cause: unknown) =>
        watch.trouble('a person could not be answered', { user: caller.user }, cause),
      );
  }, sayAfterMs);
  try {
    const copy = await record.readCopy(caller.wardId);
    if (copy === null) {
      return await caller.say('Nothing has been recorded on this ward yet, so there’s nothing to export.');
    }
    const now = clock.now();
    const bytes = await bot.makeRecordFile(copy, format, { policyIfNone: ward.policy, now });
    const { zone } = ward.policy.shifts;
    const what = `${amountWords(copy)}, ${sizeWords(bytes.length)}`;
    await bot.posts.sendFile(
      caller.user,
      { name: fileName(copy.wardId, format, now, zone), bytes },
      {
        title: `Record of the ward, ${wallClockWithDay(zone, now)}`,
        comment: `Record of ${place(channelOf(copy.wardId))} as of ${wallClockWithDay(zone, now)}, ${format.toUpperCase()}: ${what}. ${formatWords[format].isFor} ${keepItWords}`,
      },
    );
    await caller.say(
      `The record is in a direct message from me to you: ${format.toUpperCase()}, ${what}. ${formatWords[format].isFor} ${keepItWords}`,
    );
  } catch (cause) {
    watch.trouble('a record could not be exported', { user: caller.user }, cause);
    await caller.say(
      `The record couldn’t be sent to you; nothing is changed. Try again in a minute. Whoever runs the bot can make the same file: npm run export -- --ward ${caller.wardId} --format ${format}.`,
    );
  } finally {
    clearTimeout(slow);
  }
}

function amountWords({ wardEntries, lines }: WardCopy): string {
  const entries = lines.reduce((sum, line) => sum + line.entries.length, wardEntries.length);
  return `${counted(lines.length, 'line')}, ${counted(entries, 'entry', 'entries')}`;
}

/** `312 B`, `48 kB`, `12.4 MB`. */
function sizeWords(bytes: number): string {
  if (bytes < 1_000) return `${bytes} B`;
  if (bytes < 1_000_000) return `${Math.round(bytes / 1_000)} kB`;
  return `${(bytes / 1_000_000).toFixed(1)} MB`;
}

/** `record-C0WARDEAST-2026-11-24-1920.csv`, by the ward's clock. */
function fileName(wardId: string, format: RecordFormat, now: number, zone: string): string {
  const at = new Intl.DateTimeFormat('sv-SE', {
    timeZone: zone,
    dateStyle: 'short',
    timeStyle: 'short',
  })
    .format(now)
    .replace(' ', '-')
    .replace(':', '');
  return `record-${channelOf(wardId)}-${at}.${endings[format]}`;
}
