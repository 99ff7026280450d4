import { expect, it } from 'vitest';
import { defaultPolicy } from '../../../src/domain/policy/ward-policy.ts';
import type { Bot, Caller } from '../../../src/slack/bot.ts';
import { exportRecord } from '../../../src/slack/listeners/export-record.ts';
import { memoryRecord } from '../../support/memory-record.ts';

it('gives a ward’s record to nobody who is not in its channel', async () => {
  const said: string[] = [];
  const record = memoryRecord(defaultPolicy('UTC'));
  record.readCopy = async () => {
    throw new Error('the record was read');
  };
  const bot = {
    deps: { record, clock: { now: () => 0 } },
    membership: { isIn: async () => false },
  } as unknown as Bot;
  const caller = {
    wardId: 'T0TEST.C0WARD',
    user: 'U0SOMEBODY',
    say: async (text: string) => void said.push(text),
  } as unknown as Caller;
  await exportRecord(bot, caller, 'ndjson');
  expect(said).toEqual(['You are not in this ward’s channel, so nothing was exported.']);
});
