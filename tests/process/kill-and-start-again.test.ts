import { mkdtempSync, rmSync } from 'node:fs';
import os from 'node:os';
import path from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type PracticeProcess, startPracticeProcess } from './practice-process.ts';

const ward = 'C0WARDEAST';
const ina = 'U0NURSEINA';
const suvi = 'U0CLINSUVI';

let dataDir = '';
let bot: PracticeProcess;

beforeAll(async () => {
  dataDir = mkdtempSync(path.join(os.tmpdir(), 'dicrotic-process-'));
  bot = await startPracticeProcess(dataDir);
}, 30_000);

afterAll(async () => {
  await bot.kill('SIGTERM');
  rmSync(dataDir, { recursive: true, force: true });
}, 30_000);

const type = (text: string, user = ina) => bot.act({ kind: 'slash', user, where: 'ward', text });

async function press(user: string, conversation: string, action: string): Promise<void> {
  const found = await bot.until(`a ${action} button`, ({ messages }) => {
    for (const message of (messages[conversation] ?? []).toReversed()) {
      for (const block of message.blocks ?? []) {
        const element = block.elements?.find(({ action_id: id }) => id?.startsWith(action));
        if (element?.action_id && block.block_id)
          return { ts: message.ts, actionId: element.action_id, blockId: block.block_id };
      }
    }
    return undefined;
  });
  const done = await bot.act({
    kind: 'press',
    user,
    channel: conversation,
    messageTs: found.ts,
    actionId: found.actionId,
    blockId: found.blockId,
  });
  expect(done).toMatchObject({ acked: true });
}

const inConversation = (conversation: string, pattern: RegExp) =>
  bot.until(
    String(pattern),
    ({ messages }) => messages[conversation]?.find(({ text }) => pattern.test(text))?.text,
  );

// The issue of this whole product: what was accepted survives, whoever pulls the plug.
describe('a night on a process of its own', () => {
  it('registers a line, lets a missed flush climb to the clinician, and settles it when it is claimed and done', async () => {
    await type('oncall @suvi');
    await type('place Biscuit dog 28kg left dorsal pedal 20g manual');
    const form = await bot.until('the form', ({ views }) => views[ina]);
    expect(await bot.act({ kind: 'submit', user: ina, viewId: form.id })).toMatchObject({ accepted: true });
    await press(ina, ward, 'done:zero');
    await type('test Biscuit normal');
    await inConversation(ward, /Fast-flush test \d\d:\d\d: normal/);
    for (const pattern of [
      /^Due now.*Biscuit.*flush/,
      /Biscuit.*flush, 10 min late/,
      /BISCUIT.*flush 20 min late/,
    ]) {
      const where = pattern.source.includes('20 min')
        ? 'D0CLINSUVI'
        : pattern.source.includes('10 min')
          ? 'D0NURSEINA'
          : ward;
      for (let jumps = 0; jumps < 8; jumps++) {
        const { messages } = await bot.state();
        if (messages[where]?.some(({ text }) => pattern.test(text))) break;
        await bot.jump();
        await new Promise((resolve) => setTimeout(resolve, 1_500));
      }
      await inConversation(where, pattern);
    }
    await press(suvi, 'D0CLINSUVI', 'claim:');
    await press(suvi, 'D0CLINSUVI', 'done:');
    await inConversation('D0CLINSUVI', /Flush.*done \d\d:\d\d/);
    await inConversation(ward, /Flush: done/);
  }, 90_000);

  it('takes a whole handover after kill -9 and a new start, from where the ward’s clock stood', async () => {
    const before = await bot.state();
    await bot.kill('SIGKILL');
    bot = await startPracticeProcess(dataDir);
    const after = await bot.state();
    expect(after.clock.nowMs).toBeGreaterThanOrEqual(before.clock.nowMs);
    expect(after.messages[ward]?.map(({ ts }) => ts)).toEqual(before.messages[ward]?.map(({ ts }) => ts));
    await type('handover');
    await inConversation(ward, /^Handover to [^]*Biscuit/);
    const page = await inConversation(ward, /^Each patient [^]*Biscuit/);
    for (const fact of [
      'dog, 28 kg',
      'left dorsal pedal, 20 G',
      'Ina Brandvold',
      'Fast-flush test',
      'normal',
      'flush',
    ]) {
      expect(page).toContain(fact);
    }
    await inConversation(ward, /^Stock for the shift[^]*flush syringe/);
  }, 60_000);

  it('goes on reminding: the next flush is asked for in the ward', async () => {
    const asked = ({ messages }: { messages: Record<string, { text: string }[]> }) =>
      (messages[ward] ?? []).filter(({ text }) => text.startsWith('Due now')).length;
    const before = asked(await bot.state());
    for (let jumps = 0; jumps < 4 && asked(await bot.state()) === before; jumps++) {
      await bot.jump();
      await new Promise((resolve) => setTimeout(resolve, 2_000));
    }
    expect(asked(await bot.state())).toBeGreaterThan(before);
  }, 60_000);

  it('stops cleanly on SIGTERM with code 0', async () => {
    expect(await bot.kill('SIGTERM')).toBe(0);
    bot = await startPracticeProcess(dataDir);
  }, 40_000);
});
