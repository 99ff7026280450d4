import { afterEach, expect } from 'vitest';
import type { Json, StoredMessage } from '../../src/practice/platform/message.ts';
import {
  type BotOnPlatform,
  type BotOptions,
  botOnPlatform,
  buttonsIn,
  east,
  ina,
} from './bot-on-platform.ts';
import { expectWireContract } from './wire-contract.ts';

/** What the end of a test looks at. */
interface Ending {
  /** Names of patients that may stand in words and nowhere else. */
  names?: readonly string[];
  /** Troubles that the operator is told of in this test; none unless told. */
  troubles?: RegExp;
  /** Payloads that may stay unanswered, for tests in which the bot is away. */
  unanswered?: boolean;
}

/**
 * Starts bots for the tests of one file and ends each with what must hold after every test: every acknowledgement
 * came within 3 s, the platform had nothing to warn of, the operator nothing to look at, and all that was said keeps
 * the wire contract.
 */
export function botTests() {
  let running: { bot: BotOnPlatform; ending: Ending } | null = null;
  afterEach(async () => {
    if (!running) return;
    const { bot, ending } = running;
    running = null;
    await bot.stop();
    const { platform, troubles } = bot;
    for (const { acked, ackMs, kind, error } of platform.deliveries) {
      if (!ending.unanswered) expect(acked, `${kind} ${error ?? ''}`).toBe(true);
      if (acked) expect(ackMs).toBeLessThan(3_000);
    }
    expect(platform.warnings).toEqual([]);
    expect(troubles.filter((trouble) => !ending.troubles?.test(trouble))).toEqual([]);
    expectWireContract(platform, ending.names ?? ['Biscuit', 'Mochi']);
  });
  return async (options: BotOptions, ending: Ending = {}): Promise<BotOnPlatform> => {
    const bot = await botOnPlatform(options);
    running = { bot, ending };
    return bot;
  };
}

/** Registers a line by words and form, as `user`, and waits for its card; under a name that is here it is the same animal's. */
export async function place(bot: BotOnPlatform, words: string, user = ina): Promise<void> {
  const form = await bot.type(user, `place ${words}`);
  expect(form.view?.spec.callback_id, form.text).toBe('place');
  const first = await bot.submit(user);
  const isAsked = bot.platform.view(user)?.spec.callback_id === 'whose';
  const sent = isAsked ? await bot.submit(user, { whose: 'same' }) : first;
  expect(sent.errors).toEqual({});
  expect(sent.answer?.text).toMatch(/^Registered: /);
  await bot.quiet();
}

/** Puts the latest entry of `kind` right, as `user`: chosen from the list that is open, then `values` in its form. */
export async function amend(
  bot: BotOnPlatform,
  user: string,
  kind: RegExp,
  values: Parameters<BotOnPlatform['submit']>[1],
) {
  const list = bot.platform.view(user);
  expect(list?.spec.callback_id).toBe('amend:list');
  const blocks = (list?.spec.blocks ?? []) as {
    element?: { options?: { value: string; text: { text: string } }[] };
  }[];
  const offered = blocks.flatMap(({ element }) => element?.options ?? []);
  const entry = offered.find(({ text }) => kind.test(text.text))?.value ?? '';
  await goOn(bot, user, { entry });
  expect(bot.platform.view(user)?.spec.callback_id).toBe('amend');
  return bot.submit(user, values);
}

/** Sends the form that is open, of `user`, where another page takes its place and nothing is said. */
export async function goOn(
  bot: BotOnPlatform,
  user: string,
  values: Parameters<BotOnPlatform['submit']>[1] = {},
): Promise<void> {
  const viewId = bot.platform.view(user)?.id ?? '';
  await bot.platform.fill(viewId, values);
  expect((await bot.platform.submit({ user, viewId })).errors).toEqual({});
}

/** Messages of one kind in a channel, or with one person. */
export function messagesOf(bot: BotOnPlatform, kind: string, place = east): StoredMessage[] {
  return bot.platform.messages(place).filter(({ metadata }) => metadata?.event_payload.kind === kind);
}

/** The newest message of one kind; of a handover its first. */
export function lastOf(bot: BotOnPlatform, kind: string, place = east): StoredMessage {
  // What follows the first message of a handover stands below it or in its thread.
  const found = messagesOf(bot, kind, place).findLast(
    ({ text }) => kind !== 'handover' || /^Handover to (?!.*? of \d+\. )/.test(text),
  );
  if (!found)
    throw new Error(
      `No ${kind} in ${place}; there is: ${bot.platform
        .messages(place)
        .map(({ text }) => text)
        .join(' | ')}`,
    );
  return found;
}

/** Where to press: the newest message of one kind as it stands now. */
export function within(bot: BotOnPlatform, kind: string, place = east): { message: StoredMessage } {
  return { message: lastOf(bot, kind, place) };
}

export function actionsOf(message: { blocks?: Json[] }): string[] {
  return buttonsIn(message.blocks ?? []).map(({ action_id }) => String(action_id));
}

/** What is filled in in a form, by block id: text, chosen value or values. */
export function filledIn(view: { values: Record<string, Record<string, Json>> }): Record<string, unknown> {
  return Object.fromEntries(
    Object.entries(view.values).map(([block, actions]) => {
      const { type: _type, ...held } = Object.values(actions)[0] ?? {};
      const value = Object.values(held)[0] as unknown;
      return [block, value !== null && typeof value === 'object' && 'value' in value ? value.value : value];
    }),
  );
}
