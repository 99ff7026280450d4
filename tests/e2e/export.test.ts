import { parse } from 'csv-parse/sync';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { restoreRecord } from '../../src/export/restore-record.ts';
import type { StoredMessage } from '../../src/practice/platform/message.ts';
import { libraryFaults, schemaFaults } from '../export/fhir-validators.ts';
import { type BotOnPlatform, east, ina, wardId } from '../support/bot-on-platform.ts';
import { botTests, place } from '../support/bot-tests.ts';
import { type SharedRedis, sharedRedis } from '../support/shared-redis.ts';

let redis: SharedRedis;
beforeAll(async () => {
  redis = await sharedRedis();
});
afterAll(() => redis.stop());
const start = botTests();
const at = (clock: string) => Date.parse(`2026-11-24T${clock}:00Z`);

/** A ward of two lines of which something was told, at 19:40. */
async function begin(): Promise<BotOnPlatform> {
  const bot = await start({ mode: 'socket', redis, startMs: at('19:20') });
  await bot.type(ina, 'oncall @suvi');
  await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
  await place(bot, 'Mochi cat 4kg median caudal 24g manual');
  await bot.type(ina, 'zero Biscuit open to air 3 mmHg');
  await bot.advanceTo(at('19:40'));
  await bot.type(ina, 'reading Biscuit 118/64 mmHg mean 82 mmHg');
  await bot.type(ina, 'sample Mochi 1 mL discard 2 mL returned');
  await bot.quiet();
  return bot;
}

/** What is answered once the file is there; on a busy machine a word that it is being written comes first. */
async function exported(bot: BotOnPlatform, format: string): Promise<string> {
  await bot.type(ina, `export ${format}`);
  return bot.platform.until('the export', () =>
    bot.platform
      .ephemerals(ina)
      .map(({ text }) => text)
      .findLast((text) => text.startsWith('The record is in a direct message')),
  );
}

/** The file that came to `ina` by direct message, as the platform gives it out. */
async function received(bot: BotOnPlatform): Promise<{ message: StoredMessage; name: string; text: string }> {
  const message = bot.platform.messages(ina).findLast(({ files }) => (files ?? []).length > 0);
  const file = message?.files?.[0];
  if (!message || !file) throw new Error('no file came by direct message');
  const answer = await fetch(String(file.url_private_download), {
    headers: { authorization: `Bearer ${bot.platform.world.app.botToken}` },
  });
  expect(answer.status).toBe(200);
  // Text as bytes: fetch would take the byte order mark away.
  return { message, name: String(file.name), text: Buffer.from(await answer.arrayBuffer()).toString('utf8') };
}

describe('the record, asked for in the channel', () => {
  it('comes by direct message as NDJSON that restores to the same logs', async () => {
    const bot = await begin();
    expect(await exported(bot, 'ndjson')).toMatch(
      /^The record is in a direct message from me to you: NDJSON, 2 lines, \d+ entries, \d+ kB\. .* It holds patient data: keep it as the hospital’s rules say\.$/,
    );
    const { message, name, text } = await received(bot);
    expect(name).toBe('record-C0WARDEAST-2026-11-24-1940.ndjson');
    expect(message.text).toMatch(/^Record of <#C0WARDEAST> as of Tue 24 Nov 19:40, NDJSON: 2 lines, /);
    expect(message.text).toContain('It holds patient data');
    const restored = restoreRecord(text.trimEnd().split('\n'));
    if (restored.is !== 'record') throw new Error(JSON.stringify(restored));
    expect(restored.copy).toEqual(await bot.record.readCopy(wardId));
    expect(restored.copy.lines).toHaveLength(2);
    // Nobody else gets to see it.
    expect(bot.platform.messages(east).filter(({ files }) => (files ?? []).length > 0)).toEqual([]);
  });

  // csv-parse 7.0.3 by its RFC 4180 defaults.
  it('comes as CSV that another parser reads, a row for every entry', async () => {
    const bot = await begin();
    await exported(bot, 'CSV');
    const { name, text } = await received(bot);
    expect(name).toMatch(/\.csv$/);
    expect(text.startsWith('\uFEFF')).toBe(true);
    const rows: Record<string, string>[] = parse(text, {
      columns: true,
      record_delimiter: '\r\n',
      bom: true,
    });
    const copy = await bot.record.readCopy(wardId);
    expect(rows).toHaveLength(
      copy!.lines.reduce((sum, { entries }) => sum + entries.length, copy!.wardEntries.length),
    );
    expect(rows.find(({ kind }) => kind === 'reading')).toMatchObject({
      patient: 'Biscuit',
      'reading.sapMmHg': '118',
      happened_at: '2026-11-24T19:40:00.000Z',
    });
  });

  // HL7's R4 JSON schema by Ajv, and the profiles of the npm package fhir 4.12.0 (tests/export/fhir-validators.ts).
  it('comes as a FHIR R4 bundle with which two validators find nothing wrong', async () => {
    const bot = await begin();
    await exported(bot, 'fhir');
    const { name, text } = await received(bot);
    expect(name).toMatch(/\.json$/);
    const bundle = JSON.parse(text) as fhir4.Bundle;
    expect(schemaFaults(bundle)).toEqual([]);
    expect(libraryFaults(bundle)).toEqual([]);
    expect(bundle.entry?.filter(({ resource }) => resource?.resourceType === 'Patient')).toHaveLength(2);
  });

  it('is asked for by thumb with what each format is for', async () => {
    const bot = await begin();
    const menu = await bot.type(ina, '');
    const form = await bot.press(ina, 'open:export', { view: menu.view! });
    expect(form.view?.spec.callback_id).toBe('export');
    expect(form.text).toContain('*CSV* A table for a spreadsheet: one row for every entry.');
    expect(form.text).toContain('It holds patient data: keep it as the hospital’s rules say.');
    expect(Object.keys((await bot.submit(ina, {})).errors)).toEqual(['format']);
    expect((await bot.submit(ina, { format: 'csv' })).errors).toEqual({});
    expect(
      await bot.platform.until('the export', () =>
        bot.platform.ephemerals(ina).find(({ text }) => text.startsWith('The record is in a direct message')),
      ),
    ).toMatchObject({ text: expect.stringContaining(': CSV, 2 lines') });
    expect((await received(bot)).name).toMatch(/\.csv$/);
  });

  it('is not there of a ward on which nothing was told', async () => {
    const bot = await start({ mode: 'socket', redis, startMs: at('19:20') });
    expect((await bot.type(ina, 'export ndjson')).text).toBe(
      'Nothing has been recorded on this ward yet, so there’s nothing to export.',
    );
    expect(bot.platform.messages(ina)).toEqual([]);
  });
});

it('an export that cannot be sent says so, and how else the file can be had', async () => {
  const bot = await start(
    { mode: 'socket', redis, startMs: at('19:20') },
    { troubles: /could not be exported/ },
  );
  await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
  bot.platform.fault({
    method: 'files.getUploadURLExternal',
    kind: 'platformError',
    error: 'missing_scope',
  });
  await bot.type(ina, 'export csv');
  const answer = await bot.platform.until('the refusal', () =>
    bot.platform.ephemerals(ina).find(({ text }) => text.startsWith('The record couldn’t be sent')),
  );
  expect(answer.text).toContain('nothing is changed. Try again in a minute.');
  expect(answer.text).toContain(`npm run export -- --ward ${wardId} --format csv`);
  expect(bot.troubles).toHaveLength(1);
});
