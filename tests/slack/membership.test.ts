import { WebAPIPlatformError, WebAPIRateLimitedError, type WebClient } from '@slack/web-api';
import { describe, expect, test } from 'vitest';
import { slackMembership } from '../../src/slack/membership.ts';

const wardId = 'T0TEST.C0WARD';

/** A channel whose members the test changes, which may be asked too often, or not answer until the test says so. */
function channel(members: string[]) {
  const state = {
    members,
    refusal: null as Error | null,
    gate: Promise.resolve(),
    asked: 0,
    now: 0,
    limits: [] as number[],
  };
  const client = {
    conversations: {
      members: async ({ limit, cursor = '0' }: { limit: number; cursor?: string }) => {
        state.asked += 1;
        state.limits.push(limit);
        await state.gate;
        if (state.refusal) throw state.refusal;
        const from = Number(cursor);
        const next = from + limit < state.members.length ? String(from + limit) : '';
        return {
          members: state.members.slice(from, from + limit),
          response_metadata: { next_cursor: next },
        };
      },
    },
  } as unknown as WebClient;
  return { state, membership: slackMembership(client, () => state.now) };
}

const limited = new WebAPIRateLimitedError(30);
/** Lets what runs beside the test come to its end. */
const settled = () => new Promise((resolve) => setTimeout(resolve, 5));

describe('who is in a ward’s channel', () => {
  test('is remembered for a minute, so that telling a flush asks nobody', async () => {
    const { state, membership } = channel(['ina']);
    expect(await membership.isIn(wardId, 'ina')).toBe(true);
    state.members = [];
    state.now = 59_000;
    expect([await membership.isIn(wardId, 'ina'), state.asked]).toEqual([true, 1]);
  });

  test('after that is fetched anew beside the answer, so that no form waits for it; the next answer knows', async () => {
    const { state, membership } = channel(['ina']);
    expect(await membership.isIn(wardId, 'ina')).toBe(true);
    state.members = [];
    state.now = 60_000;
    let open = () => {};
    state.gate = new Promise((resolve) => {
      open = resolve;
    });
    expect(await membership.isIn(wardId, 'ina')).toBe(true);
    open();
    await settled();
    expect(state.asked).toBe(2);
    expect(await membership.isIn(wardId, 'ina')).toBe(false);
  });

  test('is waited for after five minutes in which nobody asked: who left by then is not in it', async () => {
    const { state, membership } = channel(['ina']);
    expect(await membership.isIn(wardId, 'ina')).toBe(true);
    state.members = [];
    state.now = 300_000;
    expect(await membership.isIn(wardId, 'ina')).toBe(false);
  });

  test('is told of somebody who just joined at once: a no is never from memory', async () => {
    const { state, membership } = channel(['ina']);
    expect(await membership.isIn(wardId, 'teo')).toBe(false);
    state.members = ['ina', 'teo'];
    expect(await membership.isIn(wardId, 'teo')).toBe(true);
  });

  test('is waited for no longer than a form can wait, and then somebody known is believed', async () => {
    const { state, membership } = channel(['ina']);
    expect(await membership.isIn(wardId, 'ina')).toBe(true);
    state.now = 3_600_000;
    state.gate = new Promise(() => {});
    const [known, stranger] = await Promise.allSettled([
      membership.isIn(wardId, 'ina'),
      membership.isIn(wardId, 'teo'),
    ]);
    expect(known).toEqual({ status: 'fulfilled', value: true });
    expect(stranger).toMatchObject({
      status: 'rejected',
      reason: { message: 'the list of members is not here yet' },
    });
  });

  test('is asked once for all who press at the same time', async () => {
    const { state, membership } = channel(['ina', 'teo', 'suvi']);
    const all = ['ina', 'teo', 'suvi', 'rui'].map((user) => membership.isIn(wardId, user));
    expect(await Promise.all(all)).toEqual([true, true, true, false]);
    expect(state.asked).toBe(1);
  });

  // Source: the conversations.members method page at docs.slack.dev, limit: fewer than 1,000.
  test('is read page by page, none larger than the platform documents', async () => {
    const many = Array.from({ length: 2_100 }, (_, index) => `U${index}`);
    const { state, membership } = channel(many);
    expect(await membership.isIn(wardId, 'U2099')).toBe(true);
    expect(state.limits).toEqual([999, 999, 999]);
  });

  test('is asked afresh where that matters: who left a moment ago is not in it', async () => {
    const { state, membership } = channel(['ina']);
    expect(await membership.isIn(wardId, 'ina')).toBe(true);
    state.members = [];
    expect(await membership.isIn(wardId, 'ina', 'afresh')).toBe(false);
  });

  test('where the platform does not tell, memory counts for telling and never where it is asked afresh', async () => {
    const { state, membership } = channel(['ina']);
    expect(await membership.isIn(wardId, 'ina')).toBe(true);
    state.refusal = limited;
    state.now = 3_600_000;
    expect(await membership.isIn(wardId, 'ina')).toBe(true);
    await expect(membership.isIn(wardId, 'ina', 'afresh')).rejects.toThrow(/rate/i);
  });

  test('where the platform does not tell, somebody seen in the channel itself is believed, for five minutes', async () => {
    const { state, membership } = channel(['ina']);
    state.refusal = limited;
    await expect(membership.isIn(wardId, 'teo')).rejects.toThrow(/rate/i);
    membership.seenIn(wardId, 'teo');
    expect(await membership.isIn(wardId, 'teo')).toBe(true);
    await expect(membership.isIn('T0TEST.C0OTHER', 'teo')).rejects.toThrow(/rate/i);
    state.now = 300_000;
    await expect(membership.isIn(wardId, 'teo')).rejects.toThrow(/rate/i);
  });

  test('somebody seen there is not believed where the platform tells: the list counts', async () => {
    const { state, membership } = channel(['ina']);
    membership.seenIn(wardId, 'rui');
    expect(await membership.isIn(wardId, 'rui')).toBe(false);
    state.refusal = new WebAPIPlatformError({ ok: false, error: 'channel_not_found' });
    state.now = 3_600_000;
    await expect(membership.isIn(wardId, 'rui')).rejects.toThrow(/channel_not_found/);
  });
});
