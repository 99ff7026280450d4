import { expect, it } from 'vitest';
import type { Bot, Caller } from '../../../src/chat/bot.ts';
import { exportRecord } from '../../../src/chat/listeners/export-record.ts';
import { defaultPolicy } from '../../../src/domain/policy/ward-policy.ts';
import { memoryRecord } from '../../support/memory-record.ts';

const wardId = 'T0TEST.C0WARD';

/** What is said to somebody of whom the platform says what it is given to. */
async function saidTo(isIn: Bot['membership']['isIn']): Promise<string[]> {
  const said: string[] = [];
  const record = memoryRecord(defaultPolicy('UTC'));
  record.readCopy = async () => {
    throw new Error('the record was read');
  };
  const bot = { deps: { record, clock: { now: () => 0 } }, membership: { isIn } } as unknown as Bot;
  const caller = { wardId, user: 'U0SOMEBODY', say: async (text: string) => void said.push(text) };
  await exportRecord(bot, caller as unknown as Caller, 'ndjson');
  return said;
}

it('gives a ward’s record to nobody who is not in its channel', async () => {
  expect(await saidTo(async () => false)).toEqual([
    'You are not in this ward’s channel, so nothing was exported. Join the channel, or ask somebody on the ward.',
  ]);
});

it('gives it to nobody who left the channel a moment ago, though they are remembered', async () => {
  expect(await saidTo(async (_ward, _user, how) => how !== 'afresh')).toHaveLength(1);
});

it('gives it to nobody of whom the platform does not tell whether they are in it, and says to try again', async () => {
  const said = await saidTo(async () => {
    throw new Error('rate limited');
  });
  expect(said).toEqual([
    'Nothing was exported: the chat platform did not say whether you are in this ward’s channel. Try again in a minute.',
  ]);
});
